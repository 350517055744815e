"""Who on the ground is reached, as a picture that follows the hand from coarse to fine."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray
from PySide6.QtCore import QObject, QTimer, Signal

from guyline.core.network.coverage import (
    Coverage,
    SiteCoverage,
    combine_coverage,
    server_answer,
    site_coverage,
)
from guyline.core.network.coverage_directions import areas_by_way_km2, way_offsets
from guyline.core.plan import Place, Plan, Site, SiteFunction, SiteId
from guyline.core.radio.sweep import is_prepared, prepare
from guyline.core.terrain.grid import Grid
from guyline.services.coverage import FINEST_CELL_M, RADIUS_M, CoverageReport, with_clutter
from guyline.services.coverage_places import (
    PlaceServed,
    places_served,
    served_at,
    tally_of,
    uncovered,
)
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job
from guyline.services.wording import counted
from guyline.services.wording.numbers import percent
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view import GroundModel
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.selection import Selection

STEPS = (8, 3, 1)  # every so many cells: the first while the hand still moves
REST_MS = 120  # our choice: so long a hand rests before finer steps take processors from it
MOST_CELLS_A_SIDE = 1000  # our choice: as many as the map has pixels
FIRST_TIME = "Working out the coverage: the first time on a machine takes some ten seconds …"
STRIPES = 200  # our choice: stripes of the hatching across the picture

Image = NDArray[np.uint8]
Cell = TypeVar("Cell", bound=np.generic)


class CoverageKind(Enum):
    """Whose coverage lies over the ground; the value is what people read."""

    NONE = "no coverage"
    NETWORK = "coverage of all relays and gateways"
    SITE = "coverage of the selected site"


class Reach(Enum):
    """How a cell stands; the value is its index in the picture, 0 is unknown.

    Stripes over a class have the next index.
    """

    UNKNOWN = 0
    OUT = 1
    SHORT = 2
    SHORT_STRIPE = 3
    ONE = 4
    SEVERAL = 5


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class CoveragePicture:
    """Coverage of a plan by cells of `grid`, and what there is to say."""

    plan: Plan
    coverage: Coverage
    is_fine: bool
    places: tuple[PlaceServed, ...]
    skipped: tuple[tuple[SiteId, str], ...]

    @property
    def grid(self) -> Grid:
        return self.coverage.grid

    @property
    def report(self) -> CoverageReport:
        """The same for a page or a file."""
        out_km2, back_km2 = areas_by_way_km2(self.plan, self.coverage)
        return CoverageReport(
            coverage=self.coverage,
            places=self.places,
            skipped=self.skipped,
            cells=0,
            seconds=0.0,
            area_out_km2=out_km2,
            area_back_km2=back_km2,
        )

    @property
    def summary(self) -> str:
        """Area and places served, who is left out, and who could not be counted."""
        out_km2, back_km2 = areas_by_way_km2(self.plan, self.coverage)
        words = (
            f"Served: {self.coverage.area_served_km2:.0f} km²"
            f" (out {out_km2:.0f}, back {back_km2:.0f})"
        )
        if self.places:
            words += f", {tally_of(self.places).words}"
        lacking = [_left_out(known) for known in uncovered(self.places)]
        if lacking:
            words += f". Not served: {', '.join(lacking)}"
        if self.skipped:
            names = ", ".join(f"{site} ({why} unknown)" for site, why in self.skipped)
            words += f". Not counted: {names}"
        return words

    def words_at(self, x_m: float, y_m: float) -> str:
        """What a pocket radio gets at a point of the map, "" where nothing is known."""
        here = Place(name="", lat_deg=0.0, lon_deg=0.0)
        known = served_at(self.coverage, way_offsets(self.plan, self.coverage), x_m, y_m, here)
        if known.margin_db is None or known.out_db is None or known.back_db is None:
            return ""
        return (
            f"{known.best}: out {known.out_db:.0f} dB, back {known.back_db:.0f} dB,"
            f" {percent(known.probability or 0.0)} likely,"
            f" {known.received_dbm:.0f} dBm, {counted(known.servers, 'server')}"
        )


def _left_out(known: PlaceServed) -> str:
    """A name, with its state where that is another one than shadow."""
    is_shadow = known.is_served is False and known.servers == 0
    return known.place.name if is_shadow else f"{known.place.name} ({known.state})"


class CoverageModel(QObject):
    """Works the coverage out again whenever plan, ground or choice change.

    `changed` carries a CoveragePicture or None, `waiting` words for a first picture that takes
    long. Sites that did not change are not swept again.
    """

    changed = Signal(object)
    waiting = Signal(str)
    refused = Signal(str)

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        ground: GroundModel,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._ground = document, selection, ground
        self._kind = CoverageKind.NONE
        self._grid: Grid | None = None
        self._known: dict[object, SiteCoverage] = {}
        self._runner: JobRunner | None = None
        self._cancel = np.zeros(1, dtype=np.uint8)
        self._step = 0
        self._again = False
        self._rest = QTimer(self, singleShot=True, interval=REST_MS)
        self._rest.timeout.connect(lambda: self._start(1))
        document.changed.connect(lambda plan: self.refresh())
        selection.site_changed.connect(lambda site: self._on_site_changed())
        ground.relief_changed.connect(lambda relief: self._use_ground())

    @property
    def kind(self) -> CoverageKind:
        return self._kind

    @property
    def is_running(self) -> bool:
        return self._runner is not None or self._rest.isActive()

    def show(self, kind: CoverageKind) -> None:
        self._kind = kind
        if kind is CoverageKind.NONE:
            self._again = False
            self._stop()
            self.changed.emit(None)
        else:
            self.refresh()

    def refresh(self) -> None:
        """Work it out for the plan as it is now, coarse first."""
        if self._kind is CoverageKind.NONE or self._ground.relief is None:
            return
        if self._runner is None:
            self._start(0)
            return
        self._again = True
        if self._step > 0:  # the coarse picture may finish: while a hand drags it is all there is
            self._stop()

    def _on_site_changed(self) -> None:
        if self._kind is CoverageKind.SITE:
            self.refresh()

    def _use_ground(self) -> None:
        self._grid, self._known = None, {}
        if self._ground.relief is None:
            self._stop()
            self.changed.emit(None)
        else:
            self.refresh()

    def _stop(self) -> None:
        self._rest.stop()
        self._cancel[0] = 1
        if self._runner is not None:
            self._runner.cancel()

    def _start(self, step: int) -> None:
        self._rest.stop()
        relief = self._ground.relief
        if relief is None:
            return
        self._step, self._again = step, False
        self._cancel = np.zeros(1, dtype=np.uint8)
        plan, cancel, known = self._document.plan, self._cancel, dict(self._known)
        chosen = self._selection.site_id if self._kind is CoverageKind.SITE else None
        servers = [plan.site(chosen)] if chosen and plan.has_site(chosen) else servers_of(plan)
        grid = self._grid or coverage_grid_of(relief.grid)
        self._grid = grid

        def work(job: Job) -> tuple[CoveragePicture, dict[object, SiteCoverage]]:
            prepare()
            return _swept(plan, servers, grid, STEPS[step], known, cancel, job)

        if not is_prepared():
            self.waiting.emit(FIRST_TIME)
        runner = JobRunner(work, self)
        runner.succeeded.connect(self._take)
        runner.refused.connect(lambda error: self.refused.emit(f"{error} {error.advice}".strip()))
        runner.finished.connect(self._on_finished)
        self._runner = runner
        runner.start()

    def _take(self, made: tuple[CoveragePicture, dict[object, SiteCoverage]]) -> None:
        if self._kind is not CoverageKind.NONE and made[0].grid is self._grid:
            picture, used = made
            finer = {k: v for k, v in self._known.items() if v.cells.every != STEPS[self._step]}
            self._known = finer | used
            self.changed.emit(picture)

    def _on_finished(self) -> None:
        was_cancelled = bool(self._cancel[0])
        self._runner = None
        if self._kind is CoverageKind.NONE or self._ground.relief is None:
            return
        if self._again:
            self._start(0)
        elif not was_cancelled and self._step == 0:
            self._rest.start()
        elif not was_cancelled and self._step + 1 < len(STEPS):
            self._start(self._step + 1)


def servers_of(plan: Plan) -> list[Site]:
    """All that pass messages on: relays and gateways."""
    return [s for s in plan.sites if s.function is not SiteFunction.END_POINT]


def coverage_grid_of(grid: Grid) -> Grid:
    """The relief's own ground in cells no finer than coverage needs."""
    rows, columns = grid.ground_amsl_m.shape
    step = max(
        1,
        -(-max(rows, columns) // MOST_CELLS_A_SIDE),
        int(FINEST_CELL_M // grid.cell_m),
    )
    if step == 1:
        return grid
    half = step // 2

    def picked(cells: NDArray[Cell]) -> NDArray[Cell]:
        return np.ascontiguousarray(cells[half::step, half::step])

    return Grid(  # its cells lie round the posts that were kept
        ground_amsl_m=picked(grid.ground_amsl_m),
        cell_m=grid.cell_m * step,
        west_m=grid.west_m + (half + 0.5 - step / 2) * grid.cell_m,
        north_m=grid.north_m - (half + 0.5 - step / 2) * grid.cell_m,
        lat0_deg=grid.lat0_deg,
        lon0_deg=grid.lon0_deg,
        clutter_m=None if grid.clutter_m is None else picked(grid.clutter_m),
        includes_trees=None if grid.includes_trees is None else picked(grid.includes_trees),
    )


def _swept(
    plan: Plan,
    servers: list[Site],
    grid: Grid,
    every: int,
    known: dict[object, SiteCoverage],
    cancel: Image,
    job: Job,
) -> tuple[CoveragePicture, dict[object, SiteCoverage]]:
    frame, ground = LocalFrame(grid.lat0_deg, grid.lon0_deg), with_clutter(plan, grid)
    used: dict[object, SiteCoverage] = {}
    skipped = []
    for site in job.track(servers, "Sweeping coverage"):
        missing = server_answer(plan, site).missing
        at = None if missing else _inside(grid, frame, site)
        if at is None:
            skipped.append((site.site_id, missing or "ground there"))
            continue
        key = (
            every,
            site,
            plan.radio_profile,
            plan.handheld,
            plan.earth_k,
            plan.trees_in_leaf,
            plan.terrain_sources,
            plan.clutter,
        )
        used[key] = known.get(key) or site_coverage(
            plan, site, ground, at, RADIUS_M, every=every, cancel=cancel
        )
    parts = list(used.values())
    coverage = combine_coverage(grid, parts, plan.radio_profile.required_margin_db, every)
    picture = CoveragePicture(
        plan=plan,
        coverage=coverage,
        is_fine=every == STEPS[-1],
        places=places_served(plan, coverage),
        skipped=tuple(skipped),
    )
    return picture, used


def reach_index(coverage: Coverage) -> Image:
    """Index of `Reach` for every cell, rows from the north; what falls short is striped."""
    margin, servers = coverage.margin_db, coverage.servers
    rows, columns = margin.shape
    width = max(1, max(rows, columns) // STRIPES)
    is_dark = np.arange(rows + columns) // width % 2 == 0
    # few passes over the cells, for each frame of a picture that follows the hand makes them
    index = np.take(BY_SERVERS, np.minimum(servers, len(BY_SERVERS) - 1))
    index += (servers == 0) & sliding_window_view(is_dark, columns)[:rows]
    index[margin < 0.0] = Reach.OUT.value
    index[np.isnan(margin)] = Reach.UNKNOWN.value
    return index


BY_SERVERS = np.array([Reach.SHORT.value, Reach.ONE.value, Reach.SEVERAL.value], dtype=np.uint8)


def _inside(grid: Grid, frame: LocalFrame, site: Site) -> tuple[float, float] | None:
    """Where a site stands in the grid's frame, None off its ground."""
    if site.position is None:
        return None
    x, y = frame.to_xy(site.position.lat_deg, site.position.lon_deg)
    is_known = np.isfinite(grid.height_amsl_m(x, y))
    return (float(x), float(y)) if is_known else None
