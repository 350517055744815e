"""Terrain for the area of the plan: how much there is to fetch, then the fetching itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Fact, Plan
from guyline.errors import GuylineError
from guyline.services.job import Job
from guyline.services.land_cover_area import AreaCover, fetch_cover
from guyline.services.raster import Bounds
from guyline.services.terrain_download import (
    Download,
    TileState,
    fetch,
    survey,
    terrain_folder,
)
from guyline.services.terrain_tiles import GLO_30, Tile, TileSet, box_round, grown, tiles_of
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner

MARGIN_KM = 10.0  # our choice: hills behind a site shade it and its sun
MOST_TILES = 64  # our choice: an area of 8 by 8 degrees is a mistyped position
MOST_COVER_TILES = 4  # of 3 by 3 degrees


class TerrainFetch(QObject):
    """Asks for sizes, fetches, and names what came in the plan as one undoable step.

    `changed` says that something to be shown is another; `done` carries a Download.
    """

    changed = Signal()
    progressed = Signal(float, str)
    refused = Signal(GuylineError)
    crashed = Signal(Exception)
    done = Signal(object)

    def __init__(
        self, document: PlanDocument, folder: Path | None = None, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._folder = folder or terrain_folder()
        self._tile_set = GLO_30
        self._margin_km = MARGIN_KM
        self._runner: JobRunner | None = None
        self._states: tuple[TileState, ...] | None = None

    @property
    def tile_set(self) -> TileSet:
        return self._tile_set

    @property
    def margin_km(self) -> float:
        return self._margin_km

    @property
    def is_busy(self) -> bool:
        return self._runner is not None

    @property
    def is_surveyed(self) -> bool:
        """Whether it is known how much there is to fetch."""
        return self._states is not None

    @property
    def tiles(self) -> tuple[Tile, ...]:
        """The tiles under the sites and places of the plan and the margin round them."""
        return () if self._box is None else tiles_of(self._tile_set, self._box)

    @property
    def _box(self) -> Bounds | None:
        box = box_round(_places(self._document.plan))
        return None if box is None else grown(box, 1000 * self._margin_km)

    @property
    def problem(self) -> str:
        """Why nothing can be fetched, empty where it can."""
        tiles = self.tiles
        if not tiles:
            return "No site has a position yet: enter or import one first."
        most = MOST_COVER_TILES if self._tile_set.is_cover else MOST_TILES
        if len(tiles) > most:
            return f"The area has {len(tiles)} tiles, more than {most}: is a position mistyped?"
        return ""

    @property
    def bytes_to_fetch(self) -> int | None:
        """Bytes that are left to fetch, None where a size is not known."""
        sizes = [state.size for state in self._states or ()]
        return None if None in sizes or not sizes else sum(size or 0 for size in sizes)

    @property
    def told(self) -> str:
        """The area and what is known of its size, in sentences."""
        tiles = self.tiles
        text = f"{counted(len(tiles), 'tile')} under the sites and the margin."
        if self._states is None:
            return f"{text} The size is asked for before anything is fetched."
        here = sum(state.is_here for state in self._states)
        none = sum(not state.exists for state in self._states)
        size = self.bytes_to_fetch
        told = [text, "The size is not told." if size is None else f"{size_words(size)} to fetch."]
        if here:
            told.append(f"{here} {'is' if here == 1 else 'are'} here already.")
        if none:
            told.append(f"{none} not there: {self._tile_set.missing_means}.")
        return " ".join(told)

    def use(self, tile_set: TileSet, margin_km: float) -> None:
        """Take another source or margin; sizes are then to be asked for again."""
        if (tile_set, margin_km) != (self._tile_set, self._margin_km):
            self._tile_set, self._margin_km = tile_set, margin_km
            self._states = None
            self.changed.emit()

    def survey(self) -> None:
        """Ask the server how much there is to fetch."""
        tiles, folder = self.tiles, self._folder
        self._run(lambda job: survey(tiles, folder, job), self._show_survey)

    def fetch(self) -> None:
        """Fetch what is not here yet; what was begun goes on where it stopped."""
        tiles, folder, today = self.tiles, self._folder, date.today()
        box = self._box
        if self._tile_set.is_cover and box is not None:
            area = box
            self._run(lambda job: fetch_cover(tiles, area, folder, today, job), self._take_cover)
        else:
            self._run(lambda job: fetch(tiles, folder, today, job), self._take)

    def cancel(self) -> None:
        """Stop; whole tiles and the part at hand are kept."""
        if self._runner is not None:
            self._runner.cancel()

    def _run(self, work: Callable[[Job], object], show: Callable[[object], None]) -> None:
        runner = JobRunner(work, self)
        runner.progressed.connect(self.progressed)
        runner.succeeded.connect(show)
        runner.refused.connect(self.refused)
        runner.crashed.connect(self.crashed)
        runner.finished.connect(self._finish)
        self._runner = runner
        self.changed.emit()
        runner.start()

    def _finish(self) -> None:
        self._runner = None
        self.changed.emit()

    def _show_survey(self, states: object) -> None:
        assert isinstance(states, tuple)
        self._states = states

    def _take(self, download: object) -> None:
        assert isinstance(download, Download)
        self._document.edit(with_download(self._document.plan, download), "Get terrain")
        self._states = None
        self.done.emit(download)

    def _take_cover(self, cover: object) -> None:
        assert isinstance(cover, AreaCover)
        self._document.edit(with_cover(self._document.plan, cover), "Get land cover")
        self._states = None
        self.done.emit(cover.download)


def with_cover(plan: Plan, cover: AreaCover) -> Plan:
    """Return a plan with a fetched map of land cover in the place of the one before."""
    if cover.path is None:
        return plan
    return replace(plan, land_cover_path=str(cover.path), land_cover_licence=cover.licence)


def with_download(plan: Plan, download: Download) -> Plan:
    """Return a plan that names the fetched files, after those that it names already."""
    named = {source.path for source in plan.terrain_sources}
    fresh = tuple(source for source in download.sources if source.path not in named)
    return replace(plan, terrain_sources=(*plan.terrain_sources, *fresh))


def tile_set_facts(tile_set: TileSet) -> str:
    """Return what has to be known of a source before it is believed."""
    if tile_set.is_cover:
        return (
            "Trees and houses along the paths, as the land lay in 2021; what is fetched takes the "
            "place of the map in the plan."
        )
    trees = {
        Fact.YES: "trees and roofs are in the heights",
        Fact.NO: "bare ground",
        Fact.UNKNOWN: "whether trees are in the heights is unknown",
    }[tile_set.includes_trees]
    sd = tile_set.height_sd_m
    error = "height error unknown" if sd is None else f"height error {sd:g} m (1 σ)"
    return f"Heights above {tile_set.vertical_datum}; {trees}; {error}."


def size_words(size: int) -> str:
    if size < 100_000:
        return "Nothing" if size == 0 else "Less than 0.1 MB"
    return f"{size / 1e6:.0f} MB" if size >= 10_000_000 else f"{size / 1e6:.1f} MB"


def _places(plan: Plan) -> tuple[tuple[float, float], ...]:
    sites = (site.position for site in plan.sites if site.position is not None)
    return (
        *((at.lat_deg, at.lon_deg) for at in sites),
        *((place.lat_deg, place.lon_deg) for place in plan.places),
    )
