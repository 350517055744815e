"""Fixtures of the whole suite: nothing leaks, nothing is logged unseen, nothing is remembered."""

from __future__ import annotations

import gc
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings
from hypothesis.configuration import set_hypothesis_home_dir

if TYPE_CHECKING:
    from pytestqt.qtbot import QtBot

    from guyline.viewmodels.desk import Desk

set_hypothesis_home_dir(str(Path(__file__).parents[1] / ".ci" / "cache" / "hypothesis"))
settings.register_profile("steady", deadline=None)  # a busy machine is no failure
settings.load_profile("steady")


class _FailOnWarning(logging.Handler):
    def emit(self, record: logging.LogRecord) -> None:
        pytest.fail(f"unexpected log: {record.levelname} {record.name}: {record.getMessage()}")


@pytest.fixture(autouse=True)
def no_unexpected_log(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail on a logged warning unless the test asks for `caplog`."""
    if "caplog" in request.fixturenames:
        yield
        return
    handler = _FailOnWarning(level=logging.WARNING)
    logging.getLogger().addHandler(handler)
    yield
    logging.getLogger().removeHandler(handler)


@pytest.fixture(autouse=True)
def no_trace_on_this_machine(
    tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Keep settings, caches and recovery files of the tests out of the user's home."""
    home = tmp_path_factory.mktemp("home")
    for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CACHE_HOME"):
        monkeypatch.setenv(name, str(home))
    monkeypatch.setenv("USERPROFILE", str(home))
    monkeypatch.setenv("LOCALAPPDATA", str(home))


@pytest.fixture(autouse=True)
def no_qt_leftovers(request: pytest.FixtureRequest) -> Iterator[None]:
    """Fail on a window or a pool job that outlives its test."""
    if not {"qapp", "qtbot"} & set(request.fixturenames):
        yield
        return
    qapp = request.getfixturevalue("qapp")  # alive until after the checks below
    gc.disable()  # Qt objects are freed here, not on the thread of a job or amid an event
    yield
    from guyline.viewmodels.job_runner import wait_for_jobs

    idle = wait_for_jobs(5.0)
    open_windows = [w for w in qapp.topLevelWidgets() if w.isVisible()]
    for window in open_windows:
        window.close()
    if gc.get_count()[0] > 50_000:  # a few times the objects of a window
        gc.collect()
    gc.enable()
    assert idle, "a job is still running"
    assert not open_windows, f"windows left open: {open_windows}"


@pytest.fixture
def desk(qtbot: QtBot, tmp_path: Path) -> Iterator[Desk]:
    """A desk with three sites over flat ground, assessed, with settings of its own."""
    from PySide6.QtCore import QSettings

    from guyline.services.assessment import Assessor
    from guyline.viewmodels.desk import Desk
    from guyline.viewmodels.settings import Settings
    from stories import DrawnTerrain, three_sites

    store = QSettings(str(tmp_path / "guyline.ini"), QSettings.Format.IniFormat)
    desk = Desk(Settings(store))
    desk.live.use(Assessor(DrawnTerrain()))  # type: ignore[arg-type]  # stands for Terrain
    desk.document.open(three_sites())
    qtbot.waitUntil(lambda: is_settled(desk), timeout=20_000)
    yield desk
    desk.shut_down()


def is_settled(desk: Desk) -> bool:
    """Whether what is shown belongs to the plan as it is."""
    current = desk.live.current
    return current is not None and current.plan is desk.document.plan and not desk.live.is_running


def save_and_wait(desk: Desk, path: Path, qtbot: QtBot, *, even_if_changed: bool = False) -> bool:
    """Save the plan on a desk, wait for the end of that, and say whether it is in the file."""
    done: list[bool] = []
    desk.session.save(path, even_if_changed=even_if_changed, then=lambda: done.append(True))
    qtbot.waitUntil(lambda: not desk.session.is_saving, timeout=20_000)
    return bool(done)
