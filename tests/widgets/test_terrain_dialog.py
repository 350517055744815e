"""Terrain is fetched after its size was told, can be stopped, and enters the plan in one step."""

from __future__ import annotations

import gzip
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from cover_stories import write_tile
from guyline.core.plan import Plan, Surroundings, TerrainSource
from guyline.services.land_cover import LandCover
from guyline.services.raster import Bounds
from guyline.services.terrain_tiles import SRTM_TYPE, WORLD_COVER, tiles_of
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.terrain_fetch import TerrainFetch, size_words
from guyline.widgets.about import credits_of
from guyline.widgets.terrain_dialog import TerrainDialog
from stories import HALL, complete_site

NAME = "S46W030.hgt.gz"
LONG_MS = 30_000


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One tile of hills between 0 and 999 m."""
    folder = tmp_path_factory.mktemp("shelf")
    heights = np.random.default_rng(7).integers(0, 1000, (1201, 1201)).astype(">i2")
    (folder / NAME).write_bytes(gzip.compress(heights.tobytes(), 1))
    return folder


@pytest.fixture(scope="module")
def server(shelf: Path) -> Iterator[str]:
    script = Path(__file__).parents[1] / "services" / "tile_server.py"
    with subprocess.Popen(
        [sys.executable, str(script), str(shelf)], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        yield f"http://127.0.0.1:{int(process.stdout.readline())}"
        process.terminate()


@pytest.fixture(autouse=True)
def no_proxy(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


@pytest.fixture
def dialog(desk: Desk, qtbot: QtBot, tmp_path: Path) -> TerrainDialog:
    """Open on a plan of one site in the middle of the tile."""
    desk.document.open(Plan(sites=(complete_site(HALL, -45.5, -29.5),)))
    made = TerrainDialog(TerrainFetch(desk.document, tmp_path / "terrain"))
    qtbot.addWidget(made)
    made.show()
    return made


def served(dialog: TerrainDialog, server: str, manner: str) -> None:
    address = f"{server}/{manner}/{SRTM_TYPE.file_name}"
    dialog.terrain.use(replace(SRTM_TYPE, url=address), 10.0)


def go_on(dialog: TerrainDialog, qtbot: QtBot) -> None:
    dialog.lead.click()
    qtbot.waitUntil(lambda: not dialog.terrain.is_busy, timeout=LONG_MS)


def test_the_size_is_told_first_then_the_tile_is_in_the_plan(
    dialog: TerrainDialog, desk: Desk, server: str, shelf: Path, qtbot: QtBot
) -> None:
    served(dialog, server, "ok")
    assert "1 tile" in dialog.told.text()
    assert dialog.lead.text() == "Ask for the size"
    go_on(dialog, qtbot)
    assert desk.document.plan.terrain_sources == ()
    size = (shelf / NAME).stat().st_size
    assert dialog.lead.text() == f"Fetch {size_words(size)}"
    go_on(dialog, qtbot)
    assert not dialog.isVisible()
    (source,) = desk.document.plan.terrain_sources
    assert Path(source.path).read_bytes() == (shelf / NAME).read_bytes()
    assert source.vertical_datum == SRTM_TYPE.vertical_datum
    assert source.includes_trees is SRTM_TYPE.includes_trees
    assert SRTM_TYPE.notice in source.licence
    assert any(SRTM_TYPE.notice in told for told in credits_of(desk.document.plan))
    desk.document.undo_stack.undo()
    assert desk.document.plan.terrain_sources == ()


def test_the_ground_is_known_after_the_tile_came(
    dialog: TerrainDialog, desk: Desk, server: str, qtbot: QtBot
) -> None:
    served(dialog, server, "ok")
    go_on(dialog, qtbot)
    with qtbot.waitSignal(desk.terrain_changed, timeout=LONG_MS):
        go_on(dialog, qtbot)
    assert 0.0 <= desk.terrain.height_amsl_m(-45.5, -29.5) <= 999.0


def test_what_is_here_already_is_not_fetched_again(
    dialog: TerrainDialog, desk: Desk, server: str, qtbot: QtBot
) -> None:
    served(dialog, server, "ok")
    go_on(dialog, qtbot)
    go_on(dialog, qtbot)
    desk.document.undo_stack.undo()
    dialog.show()
    served(dialog, server, "500")  # every request would fail now
    go_on(dialog, qtbot)
    assert dialog.lead.text() == "Add to the plan"
    go_on(dialog, qtbot)
    assert len(desk.document.plan.terrain_sources) == 1


def test_stopping_keeps_the_plan_and_the_dialog(
    dialog: TerrainDialog, desk: Desk, server: str, qtbot: QtBot
) -> None:
    served(dialog, server, "slow")
    go_on(dialog, qtbot)
    with qtbot.waitSignal(dialog.terrain.progressed, timeout=LONG_MS):
        dialog.lead.click()
    assert dialog.stop.text() == "Stop"
    dialog.stop.click()
    qtbot.waitUntil(lambda: not dialog.terrain.is_busy, timeout=LONG_MS)
    assert dialog.isVisible()
    assert desk.document.plan.terrain_sources == ()
    assert desk.document.undo_stack.count() == 0


@pytest.mark.parametrize("manner", ["login", "cut", "boast"])
def test_a_lying_server_changes_nothing_and_is_told(
    dialog: TerrainDialog, desk: Desk, server: str, qtbot: QtBot, manner: str
) -> None:
    served(dialog, server, manner)
    dialog.terrain.fetch()
    qtbot.waitUntil(lambda: not dialog.terrain.is_busy, timeout=LONG_MS)
    assert NAME in dialog.notices.text
    assert desk.document.plan.terrain_sources == ()


def test_without_a_network_a_sentence_says_so(
    dialog: TerrainDialog, desk: Desk, qtbot: QtBot
) -> None:
    served(dialog, "http://127.0.0.1:9", "ok")  # the discard port: nobody listens
    go_on(dialog, qtbot)
    assert "cannot be fetched" in dialog.notices.text
    assert dialog.lead.isEnabled()
    assert desk.document.undo_stack.count() == 0


def test_a_tile_that_is_not_there_is_told_as_what_that_means(
    dialog: TerrainDialog, desk: Desk, server: str, qtbot: QtBot
) -> None:
    served(dialog, server, "404")
    go_on(dialog, qtbot)
    assert f"1 not there: {SRTM_TYPE.missing_means}" in dialog.told.text()


def test_a_plan_without_positions_says_what_to_do_first(desk: Desk, qtbot: QtBot) -> None:
    desk.document.open(Plan())
    dialog = TerrainDialog(TerrainFetch(desk.document))
    qtbot.addWidget(dialog)
    assert "No site has a position yet" in dialog.told.text()
    assert not dialog.lead.isEnabled()


def test_a_mistyped_position_does_not_ask_for_half_the_world(desk: Desk, qtbot: QtBot) -> None:
    far = (complete_site(HALL, -45.5, -29.5), complete_site("FAR", 45.5, 150.0))
    desk.document.open(Plan(sites=far))
    terrain = TerrainFetch(desk.document)
    assert "mistyped" in terrain.problem


COVER = tiles_of(
    WORLD_COVER, Bounds(west_deg=-30.0, south_deg=-45.5, east_deg=-29.9, north_deg=-45.4)
)


@pytest.fixture(scope="module")
def cover_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """A server of its own process with one tile of houses."""
    folder = tmp_path_factory.mktemp("cover")
    write_tile(folder, COVER[0], 50)
    script = Path(__file__).parents[1] / "services" / "tile_server.py"
    with subprocess.Popen(
        [sys.executable, str(script), str(folder)], stdout=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        yield f"http://127.0.0.1:{int(process.stdout.readline())}"
        process.terminate()


@pytest.fixture
def cover_dialog(dialog: TerrainDialog, desk: Desk, cover_server: str) -> TerrainDialog:
    desk.document.open(Plan(sites=(complete_site(HALL, -45.5, -29.9),)))
    serve_cover(dialog, cover_server, "ok")
    return dialog


def serve_cover(dialog: TerrainDialog, server: str, manner: str) -> None:
    address = f"{server}/{manner}/{WORLD_COVER.file_name}"
    dialog.terrain.use(replace(WORLD_COVER, url=address), 5.0)


def test_land_cover_is_one_of_the_sources_to_choose(dialog: TerrainDialog) -> None:
    dialog.sources.button(2).click()
    assert dialog.terrain.tile_set is WORLD_COVER
    assert "ESA WorldCover" in dialog.notice.text()
    assert "1 tile" in dialog.told.text()


def test_land_cover_comes_after_its_size_was_told_and_its_notice_with_it(
    cover_dialog: TerrainDialog, desk: Desk, qtbot: QtBot
) -> None:
    go_on(cover_dialog, qtbot)
    assert cover_dialog.lead.text().startswith("Fetch ")
    go_on(cover_dialog, qtbot)
    assert not cover_dialog.isVisible()
    plan = desk.document.plan
    cover = LandCover.open([TerrainSource(path=plan.land_cover_path)], Path("/"))
    found = cover.around(-45.5, -29.9)
    assert found is not None
    assert found.surroundings is Surroundings.SUBURB
    assert WORLD_COVER.notice in plan.land_cover_licence
    assert any("ESA WorldCover" in told for told in credits_of(plan))
    desk.document.undo_stack.undo()
    assert desk.document.plan.land_cover_path == ""


def test_land_cover_that_is_here_is_not_fetched_again(
    cover_dialog: TerrainDialog, desk: Desk, cover_server: str, qtbot: QtBot
) -> None:
    go_on(cover_dialog, qtbot)
    go_on(cover_dialog, qtbot)
    desk.document.undo_stack.undo()
    cover_dialog.show()
    serve_cover(cover_dialog, cover_server, "500")  # every request would fail now
    go_on(cover_dialog, qtbot)
    assert cover_dialog.lead.text() == "Add to the plan"
    go_on(cover_dialog, qtbot)
    assert desk.document.plan.land_cover_path


def test_stopping_land_cover_keeps_what_came_and_the_next_time_goes_on_there(
    cover_dialog: TerrainDialog, desk: Desk, cover_server: str, qtbot: QtBot, tmp_path: Path
) -> None:
    serve_cover(cover_dialog, cover_server, "slow")
    go_on(cover_dialog, qtbot)
    with qtbot.waitSignal(cover_dialog.terrain.progressed, timeout=LONG_MS):
        cover_dialog.lead.click()
    cover_dialog.stop.click()
    qtbot.waitUntil(lambda: not cover_dialog.terrain.is_busy, timeout=LONG_MS)
    assert desk.document.plan.land_cover_path == ""
    begun = tmp_path / "terrain" / ".fetching" / COVER[0].file_name
    assert begun.stat().st_size > 0
    serve_cover(cover_dialog, cover_server, "ok")
    go_on(cover_dialog, qtbot)
    go_on(cover_dialog, qtbot)
    assert desk.document.plan.land_cover_path


@pytest.mark.parametrize("manner", ["login", "cut", "boast", "404"])
def test_a_lying_server_of_land_cover_changes_nothing_and_is_told(
    cover_dialog: TerrainDialog, desk: Desk, cover_server: str, qtbot: QtBot, manner: str
) -> None:
    serve_cover(cover_dialog, cover_server, manner)
    cover_dialog.terrain.fetch()
    qtbot.waitUntil(lambda: not cover_dialog.terrain.is_busy, timeout=LONG_MS)
    assert cover_dialog.notices.isVisible()
    assert desk.document.plan.land_cover_path == ""
    assert cover_dialog.isVisible()
