"""The skyline round a place and the sun's way across it."""

from __future__ import annotations

from calendar import month_abbr
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan, SiteId
from guyline.core.terrain.horizon import Horizon
from guyline.core.units import Numbers
from guyline.services.elevation import Terrain
from guyline.services.horizon import horizon_at
from guyline.services.job import Job
from guyline.services.sun_and_weather import hour_angles_rad, sun_on_mean_days_deg
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.selection import Selection

EYE_AGL_M = 2.0  # our choice: a panel on a short post, where no antenna height is known
KNOWN_M = 2_000.0  # our choice: a void nearer than that may hide the very ridge that matters
JUNE, DECEMBER = 6, 12
UNKNOWN_GROUND = "The ground there is unknown: no skyline."


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SunTrack:
    """The sun on the mean day of a month: azimuth and elevation of each step. [degrees].

    `hours_up` counts a flat horizon, `hours_clear` the skyline; None where part of it is unknown.
    """

    month: int
    azimuth_deg: Numbers
    elevation_deg: Numbers
    hours_up: float
    hours_clear: float | None

    @property
    def name(self) -> str:
        return month_abbr[self.month]

    @property
    def text(self) -> str:
        """How much sun the skyline leaves."""
        if self.hours_clear is None:
            return f"{self.name} sun {self.hours_up:.1f} h, skyline partly unknown"
        return f"{self.name} {self.hours_clear:.1f} of {self.hours_up:.1f} h of sun"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skyline:
    """What is seen from a place; `tracks` has the mission's month first where it is known."""

    name: str
    lat_deg: float
    horizon: Horizon
    tracks: tuple[SunTrack, ...]

    def is_known(self, azimuth_deg: Numbers) -> NDArray[np.bool_]:
        """Whether the ground toward each azimuth is known far enough to count on it."""
        return _is_known(self.horizon, azimuth_deg)

    @property
    def summary(self) -> str:
        highest = float(np.nanmax(self.horizon.elevation_deg))
        toward = self.horizon.azimuth_deg[int(np.nanargmax(self.horizon.elevation_deg))]
        suns = " · ".join(track.text for track in self.tracks)
        return f"{self.name}: {suns} · skyline up to {highest:.0f}° toward {toward:.0f}° true"


class SkylineModel(QObject):
    """Looks round from the selected site, or from a place that was pointed at.

    `changed` carries a Skyline, or None; `refused` says why there is none.
    """

    changed = Signal(object)
    refused = Signal(str)

    def __init__(
        self, document: PlanDocument, selection: Selection, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self._terrain: Terrain | None = None
        self._is_on = False
        self._place: tuple[float, float] | None = None
        self._runner: JobRunner | None = None
        self._again = False
        self._asked: object = None
        document.changed.connect(lambda plan: self._look())
        selection.site_changed.connect(self._on_site_changed)

    @property
    def is_running(self) -> bool:
        return self._runner is not None

    def use_terrain(self, terrain: Terrain | None) -> None:
        self._terrain, self._asked = terrain, None
        self._look()

    def show(self, is_on: bool) -> None:
        self._is_on, self._asked = is_on, None
        if is_on:
            self._look()
        else:
            self.changed.emit(None)

    def look_from(self, lat_deg: float, lon_deg: float) -> None:
        """Look from a bare place until a site is selected."""
        self._place = (lat_deg, lon_deg)
        self._look()

    def _on_site_changed(self, site_id: SiteId | None) -> None:
        self._place = None
        self._look()

    def _look(self) -> None:
        stand = self._stand()
        if not self._is_on or stand is None or self._terrain is None or stand == self._asked:
            return
        if self._runner is not None:
            self._again = True
            return
        self._asked, self._again = stand, False
        terrain = self._terrain
        self._runner = JobRunner(lambda job: skyline_of(terrain, *stand, job), self)
        self._runner.succeeded.connect(self._take)
        self._runner.refused.connect(lambda e: self.refused.emit(f"{e} {e.advice}".strip()))
        self._runner.finished.connect(self._on_finished)
        self._runner.start()

    def _stand(self) -> tuple[str, float, float, float, int | None] | None:
        """Name, latitude, longitude, height of the eye and the mission's month."""
        plan = self._document.plan
        if self._place is not None:
            return ("This place", *self._place, EYE_AGL_M, _month(plan))
        chosen = self._selection.site_id
        if chosen is None or not plan.has_site(chosen):
            return None
        site = plan.site(chosen)
        if site.position is None:
            return None
        agl = EYE_AGL_M if site.antenna_agl_m is None else site.antenna_agl_m
        return (site.site_id, site.position.lat_deg, site.position.lon_deg, agl, _month(plan))

    def _take(self, skyline: Skyline | None) -> None:
        if not self._is_on:
            return
        self.changed.emit(skyline)
        if skyline is None:
            self.refused.emit(UNKNOWN_GROUND)

    def _on_finished(self) -> None:
        self._runner = None
        if self._again:
            self._again = False
            self._look()


def skyline_of(
    terrain: Terrain,
    name: str,
    lat_deg: float,
    lon_deg: float,
    eye_agl_m: float,
    month: int | None,
    job: Job | None = None,
) -> Skyline | None:
    """Skyline and sun from a place, None where its ground is unknown."""
    horizon = horizon_at(terrain, lat_deg, lon_deg, eye_agl_m)
    if horizon is None:
        return None
    if job is not None:
        job.report(0.7, "Following the sun")
    zenith, azimuth = sun_on_mean_days_deg(lat_deg, hour_angles_rad())
    months = dict.fromkeys(m for m in (month, JUNE, DECEMBER) if m is not None)
    tracks = [_track(m, azimuth[m - 1], 90.0 - zenith[m - 1], horizon) for m in months]
    return Skyline(name=name, lat_deg=lat_deg, horizon=horizon, tracks=tuple(tracks))


def _track(month: int, azimuth_deg: Numbers, elevation_deg: Numbers, horizon: Horizon) -> SunTrack:
    is_up = elevation_deg > 0.0
    step_h = 24.0 / elevation_deg.size
    skyline = np.asarray(horizon.at(azimuth_deg))
    is_clear = is_up & (elevation_deg > skyline)
    is_known = bool(_is_known(horizon, azimuth_deg[is_up]).all())
    return SunTrack(
        month=month,
        azimuth_deg=azimuth_deg,
        elevation_deg=elevation_deg,
        hours_up=float(is_up.sum()) * step_h,
        hours_clear=float(is_clear.sum()) * step_h if is_known else None,
    )


def _is_known(horizon: Horizon, azimuth_deg: Numbers) -> NDArray[np.bool_]:
    nearest = np.searchsorted(horizon.azimuth_deg, azimuth_deg % 360.0) % horizon.azimuth_deg.size
    far_enough = horizon.known_to_m[nearest] >= KNOWN_M
    return np.asarray(far_enough & ~np.isnan(horizon.elevation_deg[nearest]))


def _month(plan: Plan) -> int | None:
    start = plan.incident.start_on
    return None if start is None else start.month
