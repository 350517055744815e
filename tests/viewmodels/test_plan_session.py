"""Opening, saving and keeping safe: nothing is lost, and nothing of others is replaced unasked."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from guyline.core.plan import Plan, TerrainSource
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
    assert desk.session.save(path)
    assert not desk.document.is_modified
    assert load_plan(path) == after
    desk.document.undo_stack.undo()
    assert desk.document.is_modified


def test_a_save_keeps_a_copy_of_what_it_replaced(desk: Desk, path: Path, qtbot: QtBot) -> None:
    opened(desk, path, qtbot)
    raise_hill(desk)
    desk.session.save(path)
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
        assert not desk.session.save(path)
    assert load_plan(path) == theirs
    assert desk.session.save(path, even_if_changed=True)
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
        assert not desk.session.save(path)
    assert desk.session.save(tmp_path / "copy.plan.json")
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
    with qtbot.waitSignal(desk.session.saved):
        desk.session.save(elsewhere)
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
    assert desk.document.plan == changed
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
    desk.session.save(path)
    assert not list(recovery_folder().glob("*.json"))
