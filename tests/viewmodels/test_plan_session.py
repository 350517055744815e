"""Opening, saving and keeping safe: nothing is lost, and nothing of others is replaced unasked."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from threading import Event
from time import perf_counter

import pytest
from PySide6.QtCore import QTimer
from pytestqt.qtbot import QtBot

from conftest import save_and_wait
from guyline.core.plan import Plan, SiteId, TerrainSource
from guyline.services.backups import backups_of
from guyline.services.plan_files import load_plan, save_plan
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.plan_session import UNNAMED
from guyline.viewmodels.settings import RECENT
from stories import HILL, three_sites


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "flood.plan.json"
    save_plan(three_sites(), path)
    return path


def opened(desk: Desk, path: Path, qtbot: QtBot) -> Desk:
    with qtbot.waitSignal(desk.session.opened, timeout=20_000):
        desk.session.open(path)
    return desk


def raise_hill(desk: Desk, metres: float = 20.0) -> Plan:
    site = replace(desk.document.plan.site(HILL), antenna_agl_m=metres)
    desk.document.edit(desk.document.plan.with_site(site), "Raise")
    return desk.document.plan


def test_an_opened_plan_is_clean_named_and_remembered(
    desk: Desk, path: Path, qtbot: QtBot
) -> None:
    opened(desk, path, qtbot)
    assert desk.document.plan == three_sites()
    assert desk.session.name == "flood"
    assert not desk.document.is_modified
    assert desk.settings.get(RECENT) == [str(path)]


def test_saving_makes_clean_and_undoing_over_the_save_makes_modified_again(
    desk: Desk, path: Path, qtbot: QtBot
) -> None:
    opened(desk, path, qtbot)
    after = raise_hill(desk)
    assert desk.document.is_modified
    assert save_and_wait(desk, path, qtbot)
    assert not desk.document.is_modified
    assert load_plan(path) == after
    desk.document.undo_stack.undo()
    assert desk.document.is_modified


def test_a_save_keeps_a_copy_of_what_it_replaced(desk: Desk, path: Path, qtbot: QtBot) -> None:
    opened(desk, path, qtbot)
    raise_hill(desk)
    save_and_wait(desk, path, qtbot)
    assert load_plan(backups_of(path)[0]) == three_sites()


def test_a_file_that_cannot_be_read_leaves_the_desk_as_it_is(
    desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    before = desk.document.plan
    broken = tmp_path / "broken.plan.json"
    broken.write_text("{")
    with qtbot.waitSignal(desk.session.failed, timeout=20_000) as failure:
        desk.session.open(broken)
    assert "broken.plan.json" in str(failure.args[0])
    assert failure.args[0].advice
    assert desk.document.plan is before


def test_a_file_that_somebody_changed_meanwhile_is_not_replaced_unasked(
    desk: Desk, path: Path, qtbot: QtBot
) -> None:
    opened(desk, path, qtbot)
    theirs = replace(three_sites(), earth_k=1.5)
    save_plan(theirs, path)
    ours = raise_hill(desk)
    with qtbot.waitSignal(desk.session.conflicted):
        assert not save_and_wait(desk, path, qtbot)
    assert load_plan(path) == theirs
    assert save_and_wait(desk, path, qtbot, even_if_changed=True)
    assert load_plan(path) == ours


def test_a_plan_that_is_open_elsewhere_can_only_be_looked_at(
    desk: Desk, path: Path, qtbot: QtBot, tmp_path: Path
) -> None:
    from guyline.services.plan_lock import PlanLock

    lock = PlanLock(path)
    lock.take()
    with qtbot.waitSignal(desk.session.noticed, timeout=20_000):
        desk.session.open(path)
    assert desk.session.is_read_only
    raise_hill(desk)
    with qtbot.waitSignal(desk.session.failed):
        assert not save_and_wait(desk, path, qtbot)
    assert save_and_wait(desk, tmp_path / "copy.plan.json", qtbot)
    lock.release()


def test_reopening_the_same_file_reads_it_again(desk: Desk, path: Path, qtbot: QtBot) -> None:
    opened(desk, path, qtbot)
    theirs = replace(three_sites(), earth_k=1.5)
    save_plan(theirs, path)
    opened(desk, path, qtbot)
    assert desk.document.plan == theirs
    assert not desk.session.is_read_only


def test_a_plan_saved_elsewhere_still_finds_its_elevation(
    desk: Desk, tmp_path: Path, qtbot: QtBot
) -> None:
    path = tmp_path / "here" / "flood.plan.json"
    path.parent.mkdir()
    plan = replace(three_sites(), terrain_sources=(TerrainSource(path="ground.tif"),))
    save_plan(plan, path)
    opened(desk, path, qtbot)
    elsewhere = tmp_path / "there" / "copy.plan.json"
    elsewhere.parent.mkdir()
    assert save_and_wait(desk, elsewhere, qtbot)
    (source,) = load_plan(elsewhere).terrain_sources
    assert (elsewhere.parent / source.path).resolve() == path.parent / "ground.tif"
    assert load_plan(path) == plan


def test_a_new_plan_has_no_file_and_no_name(desk: Desk, path: Path, qtbot: QtBot) -> None:
    opened(desk, path, qtbot)
    with qtbot.waitSignal(desk.session.opened, timeout=20_000):
        desk.session.new(Plan())
    assert desk.session.path is None
    assert desk.session.name == UNNAMED
    assert desk.document.plan == Plan()


def test_another_elevation_file_is_read_at_once_and_its_undoing_too(
    desk: Desk, path: Path, qtbot: QtBot
) -> None:
    opened(desk, path, qtbot)
    more = replace(desk.document.plan, terrain_sources=(TerrainSource(path="missing.tif"),))
    with qtbot.waitSignal(desk.terrain_changed, timeout=20_000):
        desk.document.edit(more, "Add file")
    assert desk.terrain.problems
    with qtbot.waitSignal(desk.terrain_changed, timeout=20_000):
        desk.document.undo_stack.undo()
    assert not desk.terrain.problems


def test_what_a_crash_left_is_offered_and_comes_back_as_an_undoable_step(
    desk: Desk, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from guyline.services.process import ProcessMark
    from guyline.services.recovery import RecoveryJournal

    changed = replace(three_sites(), earth_k=1.2)
    RecoveryJournal(path).write(changed)
    monkeypatch.setattr(ProcessMark, "may_run", property(lambda mark: False))  # as after a crash
    with qtbot.waitSignal(desk.session.recoverable, timeout=20_000) as offer:
        desk.session.open(path)
    desk.session.recover(offer.args[0])
    qtbot.waitUntil(lambda: desk.document.plan == changed)
    desk.document.undo_stack.undo()
    assert desk.document.plan == three_sites()


def test_an_edit_is_kept_against_a_crash_and_forgotten_when_saved(
    desk: Desk, path: Path, qtbot: QtBot
) -> None:
    from guyline.services.recovery import recovery_folder

    opened(desk, path, qtbot)
    raise_hill(desk)
    desk.session.journal_now()
    assert len(list(recovery_folder().glob("*.json"))) == 1
    save_and_wait(desk, path, qtbot)
    assert not list(recovery_folder().glob("*.json"))


@pytest.fixture
def slow_disk(monkeypatch: pytest.MonkeyPatch) -> Iterator[Event]:
    """A disk that finishes no file before the event is set."""
    goes_on = Event()
    fsync = os.fsync

    def slow(handle: int) -> None:
        assert goes_on.wait(20.0)
        fsync(handle)

    monkeypatch.setattr(os, "fsync", slow)
    yield goes_on
    goes_on.set()


def test_the_plan_is_edited_while_it_is_being_saved_and_the_edit_counts_as_not_saved(
    desk: Desk, path: Path, qtbot: QtBot, slow_disk: Event
) -> None:
    opened(desk, path, qtbot)
    saved = raise_hill(desk, 20.0)
    desk.session.save(path)
    assert desk.session.is_saving
    assert desk.document.is_modified  # it is not in the file yet
    later = raise_hill(desk, 25.0)
    slow_disk.set()
    qtbot.waitUntil(lambda: not desk.session.is_saving, timeout=20_000)
    assert load_plan(path) == saved
    assert desk.document.plan == later
    assert desk.document.is_modified
    desk.document.undo_stack.undo()
    assert not desk.document.is_modified
    desk.document.undo_stack.redo()
    assert desk.document.is_modified


def test_what_was_edited_during_a_save_is_journalled_after_it(
    desk: Desk, path: Path, qtbot: QtBot, slow_disk: Event
) -> None:
    from guyline.services.recovery import recovery_folder

    opened(desk, path, qtbot)
    raise_hill(desk, 20.0)
    desk.session.save(path)
    raise_hill(desk, 25.0)
    slow_disk.set()
    qtbot.waitUntil(lambda: not desk.session.is_saving, timeout=20_000)
    qtbot.waitUntil(lambda: any(recovery_folder().glob("*.json")), timeout=20_000)
    (journal,) = recovery_folder().glob("*.json")
    assert '"antenna_agl_m": 25.0' in journal.read_text()


def test_a_second_save_waits_for_the_first_and_both_are_done(
    desk: Desk, path: Path, qtbot: QtBot, slow_disk: Event
) -> None:
    opened(desk, path, qtbot)
    done: list[str] = []
    first = raise_hill(desk, 20.0)
    desk.session.save(path, then=lambda: done.append("first"))
    second = raise_hill(desk, 25.0)
    desk.session.save(path, then=lambda: done.append("second"))
    slow_disk.set()
    qtbot.waitUntil(lambda: len(done) == 2, timeout=20_000)
    qtbot.waitUntil(lambda: not desk.session.is_saving, timeout=20_000)
    assert done == ["first", "second"]
    assert load_plan(path) == second
    assert load_plan(backups_of(path)[0]) == first
    assert not desk.document.is_modified


def test_another_plan_comes_to_the_desk_only_after_the_save_that_is_running(
    desk: Desk, path: Path, qtbot: QtBot, tmp_path: Path, slow_disk: Event
) -> None:
    slow_disk.set()
    other = tmp_path / "other.plan.json"
    save_plan(replace(three_sites(), earth_k=1.5), other)
    opened(desk, path, qtbot)
    slow_disk.clear()
    saved = raise_hill(desk)
    desk.session.save(path)
    desk.session.open(other)
    qtbot.waitUntil(lambda: desk.session._runner is None, timeout=20_000)
    assert desk.document.plan is saved
    slow_disk.set()
    qtbot.waitUntil(lambda: desk.session.path == other, timeout=20_000)
    assert load_plan(path) == saved
    assert load_plan(other).earth_k == desk.document.plan.earth_k == 1.5
    assert not desk.document.is_modified


def test_a_full_disk_is_told_and_the_plan_stays_modified_and_journalled(
    desk: Desk, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from guyline.services.recovery import recovery_folder

    opened(desk, path, qtbot)
    raise_hill(desk)
    desk.session.journal_now()

    def full(handle: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with qtbot.waitSignal(desk.session.failed, timeout=20_000) as failure:
        assert not save_and_wait(desk, path, qtbot)
    assert "the disk is full" in str(failure.args[0])
    assert load_plan(path) == three_sites()
    assert desk.document.is_modified
    assert len(list(recovery_folder().glob("*.json"))) == 1
    monkeypatch.undo()
    assert save_and_wait(desk, path, qtbot)
    assert not desk.document.is_modified


def test_the_window_answers_while_thousands_of_sites_are_saved(
    desk: Desk, qtbot: QtBot, tmp_path: Path
) -> None:
    """The longest time without an event, against the whole time of the save in the same run."""
    site = desk.document.plan.site(HILL)
    many = tuple(replace(site, site_id=SiteId(f"S{n}")) for n in range(2_000))
    plan = replace(three_sites(), sites=(*three_sites().sites, *many))
    desk.live.shut_down()  # its work is not what is looked at here
    desk.document.edit(plan, "Paste")
    waits: list[float] = []
    last = perf_counter()

    def tick() -> None:
        nonlocal last
        now = perf_counter()
        waits.append(now - last)
        last = now

    timer = QTimer()
    timer.setInterval(0)
    timer.timeout.connect(tick)
    timer.start()
    start = perf_counter()
    assert save_and_wait(desk, tmp_path / "many.plan.json", qtbot)
    whole = perf_counter() - start
    timer.stop()
    assert max(waits) < whole / 2
    assert load_plan(tmp_path / "many.plan.json") == plan
    assert not desk.document.is_modified


def test_the_file_is_read_once_to_open_it(
    desk: Desk, path: Path, qtbot: QtBot, monkeypatch: pytest.MonkeyPatch
) -> None:
    from guyline.services import plan_keeping

    read: list[Path] = []
    real = plan_keeping.read_plan_bytes

    def counted(file: Path) -> bytes:
        read.append(file)
        return real(file)

    monkeypatch.setattr(plan_keeping, "read_plan_bytes", counted)
    opened(desk, path, qtbot)
    assert read == [path]
