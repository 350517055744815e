"""The plan on the ground: sites and links in local metres, moves and measured ways."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from math import isfinite
from typing import Protocol

import numpy as np
from PySide6.QtCore import QObject, QTimer, Signal

from guyline.core.plan import Link, Place, Plan, Position, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.services.coverage_places import PlaceServed
from guyline.services.geodesy import LocalFrame, degrees_minutes, inverse
from guyline.services.job import Job
from guyline.services.raster import Bounds
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view_area import Area, area_of, origin_of
from guyline.viewmodels.ground_view_marks import (
    DRAWN_LAST,
    LinkLine,
    LinkState,
    PlaceMark,
    SiteMark,
    link_line,
    place_mark,
    site_mark,
)
from guyline.viewmodels.ground_view_relief import Relief, relief_of
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.path_view_words import height_text, length_text
from guyline.viewmodels.selection import PathEnd, Selection

ON_MAP = "placed on the map"
AREA_CELLS = 1600  # our choice: relief as fine as a large screen; read within a second
FINEST_CELL_M = 5.0
FARTHEST_M = 300_000.0  # our choice: a frame farther from the sites would bend their distances
READ_AFTER_MS = 700  # a site that is being dragged beyond the relief comes to rest first


class HasGround(Protocol):
    """Whatever knows the heights of an area."""

    @property
    def bounds(self) -> Bounds | None: ...

    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> float: ...

    def profile(
        self, lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float
    ) -> Profile: ...

    def grid(
        self,
        frame: LocalFrame,
        west_m: float,
        south_m: float,
        east_m: float,
        north_m: float,
        cell_m: float,
        job: Job | None = None,
    ) -> Grid: ...


class GroundModel(QObject):
    """Follows document, assessment and terrain.

    `marks_changed` tells that sites or links stand otherwise, `frame_changed` that the local
    frame is another one, `relief_changed` carries a Relief or None,
    `progressed` share and words of the work on it.
    """

    marks_changed = Signal()
    frame_changed = Signal()
    relief_changed = Signal(object)
    progressed = Signal(float, str)
    refused = Signal(str)

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._live = document, selection, live
        self._terrain: HasGround | None = None
        self._runner: JobRunner | None = None
        self._drags = 0
        self._reading = QTimer(self, singleShot=True, interval=READ_AFTER_MS)
        self._reading.timeout.connect(self._read_ground)
        self._frame = LocalFrame(*origin_of(document.plan, None))
        self._marks: tuple[SiteMark, ...] = ()
        self._lines: tuple[LinkLine, ...] = ()
        self._seen: object = None
        self.relief: Relief | None = None
        document.changed.connect(self._on_plan_changed)
        live.updated.connect(self._on_assessed)
        self._make_marks()

    @property
    def frame(self) -> LocalFrame:
        return self._frame

    @property
    def marks(self) -> tuple[SiteMark, ...]:
        return self._marks

    @property
    def lines(self) -> tuple[LinkLine, ...]:
        return self._lines

    @property
    def places(self) -> tuple[PlaceMark, ...]:
        """The places that need service, before coverage has been looked at."""
        return self._placed_marks((place, None) for place in self._document.plan.places)

    def places_of(self, served: Iterable[PlaceServed]) -> tuple[PlaceMark, ...]:
        """The places as a picture of coverage found them."""
        return self._placed_marks((known.place, known.is_served) for known in served)

    def _placed_marks(self, places: Iterable[tuple[Place, bool | None]]) -> tuple[PlaceMark, ...]:
        return tuple(
            place_mark(place, self.point(place.lat_deg, place.lon_deg), is_served=is_served)
            for place, is_served in places
        )

    @property
    def has_terrain(self) -> bool:
        return self._terrain is not None and self._terrain.bounds is not None

    def use_terrain(self, terrain: HasGround | None) -> None:
        """Draw this ground from now on; the relief follows when it is ready."""
        self._terrain = terrain
        bounds = None if terrain is None else terrain.bounds
        self._frame = LocalFrame(*origin_of(self._document.plan, bounds))
        self._make_marks()
        self.frame_changed.emit()
        self._read_ground()

    def cancel(self) -> None:
        """Give up reading the ground."""
        if self._runner is not None:
            self._runner.cancel()

    def area(self) -> Area:
        """The box that shows every site with room around, or the terrain where there are none."""
        bounds = None if self._terrain is None else self._terrain.bounds
        return area_of(self._frame, [(m.x_m, m.y_m) for m in self._marks], bounds)

    def place(self, x_m: float, y_m: float) -> tuple[float, float]:
        lat, lon = self._frame.to_lat_lon(x_m, y_m)
        return float(lat), float(lon)

    def point(self, lat_deg: float, lon_deg: float) -> tuple[float, float]:
        x, y = self._frame.to_xy(lat_deg, lon_deg)
        return float(x), float(y)

    def begin_drag(self) -> None:
        """Begin a new undo step for what is moved from now on."""
        self._drags += 1

    def move_site(
        self, site_id: SiteId, x_m: float, y_m: float, *, dragging: bool = False
    ) -> None:
        """Put a site elsewhere; a ground height entered for the old place goes with it."""
        plan = self._document.plan
        if not plan.has_site(site_id):
            return
        lat, lon = self.place(x_m, y_m)
        position = Position(lat_deg=round(lat, 6), lon_deg=round(lon, 6), source=ON_MAP)
        moved = replace(
            plan.site(site_id), position=position, ground_amsl_m=None, ground_source=""
        )
        key = f"{site_id}.position"
        self._document.edit(
            plan.with_site(moved),
            f"Move {site_id}",
            merge_key=f"{key}.{self._drags}" if dragging else key,
        )

    def move_end(self, end: int, x_m: float, y_m: float) -> None:
        """Put a bare end of the shown path elsewhere."""
        path = self._selection.path
        if path is not None and path[end].site_id is None:
            lat, lon = self.place(x_m, y_m)
            ends = list(path)
            ends[end] = replace(path[end], lat_deg=lat, lon_deg=lon)
            self._selection.select_path((ends[0], ends[1]))

    def end_at(self, site_id: SiteId | None, x_m: float, y_m: float) -> PathEnd:
        """An end for a path: the site, or the bare place."""
        if site_id is not None:
            position = self._document.plan.site(site_id).position
            if position is not None:
                return PathEnd(lat_deg=position.lat_deg, lon_deg=position.lon_deg, site_id=site_id)
        lat, lon = self.place(x_m, y_m)
        return PathEnd(lat_deg=lat, lon_deg=lon)

    def path_points(self) -> tuple[tuple[float, float], ...]:
        """Both ends of the shown path in the local frame, or nothing."""
        path = self._selection.path
        if path is None:
            return ()
        return tuple(self.point(*self._position_of(end)) for end in path)

    def _position_of(self, end: PathEnd) -> tuple[float, float]:
        """Where an end is now: a site may have moved since it was chosen."""
        plan = self._document.plan
        if end.site_id is not None and plan.has_site(end.site_id):
            position = plan.site(end.site_id).position
            if position is not None:
                return position.lat_deg, position.lon_deg
        return end.lat_deg, end.lon_deg

    def way_text(self, from_xy: tuple[float, float], to_xy: tuple[float, float]) -> str:
        """Distance and true bearing between two places of the map."""
        way = inverse(*self.place(*from_xy), *self.place(*to_xy))
        words = length_text(way.distance_m, self._document.plan.incident.units)
        return f"{words} at {way.azimuth_deg:.1f}° true"

    def place_text(self, x_m: float, y_m: float) -> str:
        """A place in words: coordinates, ground height, way from the selected site."""
        lat, lon = self.place(x_m, y_m)
        units = self._document.plan.incident.units
        words = [degrees_minutes(lat, lon)]
        if self._terrain is not None:
            ground = self._terrain.height_amsl_m(lat, lon)
            is_known = not np.isnan(ground)
            words.append(f"ground {height_text(ground, units)}" if is_known else "no terrain data")
        selected = self.mark(self._selection.site_id)
        if selected is not None:
            way = self.way_text((selected.x_m, selected.y_m), (x_m, y_m))
            words.append(f"{way} from {selected.site_id}")
        return " · ".join(words)

    def site_text(self, mark: SiteMark) -> str:
        """A site in words."""
        words = [f"{mark.site_id} {mark.name}".strip(), str(mark.function)]
        return " · ".join([*words, *([] if mark.verdict is None else [str(mark.verdict)])])

    def link_text(self, link: Link) -> str:
        """A link in words: margin, and what is asked of it."""
        line = next(known for known in self._lines if known.link == link)
        required = self._document.plan.radio_profile.required_margin_db
        margin = line.label if line.state is LinkState.UNKNOWN else f"margin {line.label}"
        return f"{link.from_id} to {link.to_id} · {margin}, {required:.0f} dB asked"

    def mark(self, site_id: SiteId | None) -> SiteMark | None:
        return next((m for m in self._marks if m.site_id == site_id), None)

    def summary(self) -> str:
        """The map in sentences, for those who hear it."""
        sites = [
            f"{m.site_id}, {m.function}" + ("" if m.verdict is None else f", {m.verdict}")
            for m in self._marks
        ]
        links = [f"{a.link.from_id} to {a.link.to_id}: {a.label}" for a in self._lines]
        nowhere = sum(s.position is None for s in self._document.plan.sites)
        parts = [f"{counted(len(sites), 'site')} on the map. ", "; ".join(sites), ". "]
        if links:
            parts += [f"{counted(len(links), 'link')}. ", "; ".join(links), ". "]
        if nowhere:
            verb = "has" if nowhere == 1 else "have"
            parts.append(f"{counted(nowhere, 'site')} {verb} no position yet.")
        return "".join(parts).strip()

    def _on_plan_changed(self, plan: Plan) -> None:
        origin = origin_of(plan, None if self._terrain is None else self._terrain.bounds)
        here = (self._frame.lat0_deg, self._frame.lon0_deg)
        if inverse(*here, *origin).distance_m > FARTHEST_M:
            self._frame = LocalFrame(*origin)
            self._make_marks()
            self.frame_changed.emit()
            self._read_ground()
            return
        self._make_marks()
        if not self._reading.isActive() and self._is_beyond_relief():
            self._reading.start()

    def _is_beyond_relief(self) -> bool:
        """Whether a site lies off the relief where there may be ground to show."""
        if self.relief is None or self._terrain is None or self._terrain.bounds is None:
            return False
        grid, bounds = self.relief.grid, self._terrain.bounds
        return any(
            not (grid.west_m < m.x_m < grid.east_m and grid.south_m < m.y_m < grid.north_m)
            and bounds.contains(*self.place(m.x_m, m.y_m))
            for m in self._marks
        )

    def _on_assessed(self, assessment: PlanAssessment) -> None:
        self._make_marks()

    def _make_marks(self) -> None:
        plan, assessment = self._document.plan, self._live.current
        verdicts = {} if assessment is None else {s.site_id: s.verdict for s in assessment.sites}
        known = {} if assessment is None else {k.link.ends: k for k in assessment.links}
        placed = self._placed(plan)
        marks = tuple(
            site_mark(s, placed[s.site_id], verdicts.get(s.site_id))
            for s in plan.sites
            if s.site_id in placed
        )
        lines = [
            link_line(plan, link, placed, known.get(link.ends))
            for link in plan.links
            if link.from_id in placed and link.to_id in placed
        ]
        ordered = tuple(sorted(lines, key=lambda line: DRAWN_LAST.index(line.state)))
        seen = (marks, ordered, plan.places)
        if seen != self._seen:  # an antenna being drawn up moves nothing on the map
            self._seen = seen
            self._marks, self._lines = marks, ordered
            self.marks_changed.emit()

    def _placed(self, plan: Plan) -> dict[SiteId, tuple[float, float]]:
        """Where the sites lie in the frame, worked out in one go."""
        at = [(s.site_id, s.position) for s in plan.sites if s.position is not None]
        x, y = self._frame.to_xy([p.lat_deg for _, p in at], [p.lon_deg for _, p in at])
        return {
            site_id: (east, north)
            for (site_id, _), east, north in zip(at, x.tolist(), y.tolist(), strict=True)
            if isfinite(east) and isfinite(north)  # the far side of the globe is on no map
        }

    def _read_ground(self) -> None:
        self.cancel()
        terrain, frame, area = self._terrain, self._frame, self.area()
        self._show_relief(None)
        if terrain is None or terrain.bounds is None:
            self._runner = None
            return
        cell = max(area.longer_m / AREA_CELLS, FINEST_CELL_M)

        def read(job: Job) -> Relief:
            box = (area.west_m, area.south_m, area.east_m, area.north_m)
            return relief_of(terrain.grid(frame, *box, cell, job), job)

        runner = JobRunner(read, self)
        runner.succeeded.connect(lambda relief: self._take_relief(runner, relief))
        runner.progressed.connect(self.progressed)
        runner.refused.connect(lambda error: self.refused.emit(f"{error} {error.advice}".strip()))
        self._runner = runner
        runner.start()

    def _take_relief(self, runner: JobRunner, relief: Relief) -> None:
        if runner is self._runner:  # a late answer about other terrain is dropped
            self._show_relief(relief)

    def _show_relief(self, relief: Relief | None) -> None:
        self.relief = relief
        self.relief_changed.emit(relief)
