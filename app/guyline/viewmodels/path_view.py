"""The path under the eye: two ends, the ground between them, loss and margin as they are now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

import numpy as np
from PySide6.QtCore import QObject, Signal

from guyline.core.network.link import LinkAssessment, assess_link
from guyline.core.network.path import PathAssessment, assess_path
from guyline.core.plan import Link, Plan, Site, SiteId
from guyline.core.terrain.profile import Profile
from guyline.errors import GuylineError
from guyline.services.geodesy import Geodesic, inverse
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.selection import PathEnd, Selection

NEAR, FAR = 0, 1
HIGHEST_AGL_M = (
    300.0  # our choice: above any mast a crew could borrow; keeps a slip of the mouse sane
)


class HasProfiles(Protocol):
    """Whatever knows the ground between two places."""

    def profile(
        self, lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float
    ) -> Profile: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class EndView:
    """An end as it is shown; `antenna_agl_m` is None where nobody has entered it."""

    label: str
    lat_deg: float
    lon_deg: float
    site_id: SiteId | None
    antenna_agl_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PathView:
    """What is known of the shown path; `problem` says in words what keeps the rest unknown."""

    plan: Plan
    ends: tuple[EndView, EndView]
    way: Geodesic
    profile: Profile | None = None
    path: PathAssessment | None = None
    link: LinkAssessment | None = None
    problem: str = ""

    @property
    def key(self) -> tuple[float, float, float, float]:
        """Changes when the ground under the path does."""
        a, b = self.ends
        return (a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)


class PathModel(QObject):
    """Follows document and selection; `changed` carries a PathView, or None for no path.

    The profile of the shown path is kept, so that a change of an antenna costs a millisecond.
    """

    changed = Signal(object)

    def __init__(
        self, document: PlanDocument, selection: Selection, parent: QObject | None = None
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._selection = selection
        self._terrain: HasProfiles | None = None
        self._kept: tuple[tuple[float, float, float, float], Profile] | None = None
        self._view: PathView | None = None
        self._drags = 0
        document.changed.connect(self._on_plan_changed)
        selection.path_changed.connect(self._on_path_changed)

    @property
    def view(self) -> PathView | None:
        return self._view

    @property
    def sites(self) -> tuple[Site, ...]:
        """The sites that can be an end: those with a position."""
        return tuple(s for s in self._document.plan.sites if s.position is not None)

    def use_terrain(self, terrain: HasProfiles | None) -> None:
        self._terrain, self._kept = terrain, None
        self.refresh()

    def refresh(self) -> None:
        self._view = self._make_view()
        self.changed.emit(self._view)

    def choose_site(self, end: int, site_id: SiteId) -> None:
        """Put a site at one end; where there is no other end yet, one that goes with it."""
        chosen = self._site_end(site_id)
        if chosen is None:
            return
        other = self._other_end(end, site_id)
        if other is not None:
            self._selection.select_path((chosen, other) if end == NEAR else (other, chosen))

    def loosen(self, end: int) -> None:
        """Turn a site at one end into a bare point at its place, to be dragged on the map."""
        path, view = self._selection.path, self._view
        if path is None or view is None or path[end].site_id is None:
            return
        seen = view.ends[end]
        point = PathEnd(lat_deg=seen.lat_deg, lon_deg=seen.lon_deg)
        if seen.antenna_agl_m is not None:
            point = replace(point, antenna_agl_m=seen.antenna_agl_m)
        self._selection.select_path((point, path[FAR]) if end == NEAR else (path[NEAR], point))

    def swap(self) -> None:
        """Look along the path from its other end."""
        path = self._selection.path
        if path is not None:
            self._selection.select_path((path[FAR], path[NEAR]))

    def begin_drag(self) -> None:
        """Begin a new undo step for what is dragged from now on."""
        self._drags += 1

    def set_antenna(self, end: int, antenna_agl_m: float, *, dragging: bool = False) -> None:
        """Raise or lower the antenna at one end; at a site this is an undoable edit."""
        path = self._selection.path
        if path is None:
            return
        height = float(np.clip(round(antenna_agl_m, 2), 0.0, HIGHEST_AGL_M))
        site_id = path[end].site_id
        if site_id is None:
            ends = list(path)
            ends[end] = replace(path[end], antenna_agl_m=height)
            self._selection.select_path((ends[NEAR], ends[FAR]))
        elif self._document.plan.has_site(site_id):
            plan = self._document.plan
            changed = replace(plan.site(site_id), antenna_agl_m=height)
            key = f"{site_id}.antenna_agl_m"
            self._document.edit(
                plan.with_site(changed),
                f"Set antenna height of {site_id}",
                merge_key=f"{key}.{self._drags}" if dragging else key,
            )

    def place_at(self, distance_m: float) -> tuple[float, float] | None:
        """Latitude and longitude of the sample nearest to a distance along the path."""
        profile = None if self._view is None else self._view.profile
        if profile is None:
            return None
        i = int(np.abs(profile.distance_m - distance_m).argmin())
        return float(profile.lat_deg[i]), float(profile.lon_deg[i])

    def distance_of(self, lat_deg: float, lon_deg: float, within_m: float) -> float | None:
        """How far along the path a place is, None where it is farther from it than `within_m`."""
        profile = None if self._view is None else self._view.profile
        if profile is None:
            return None
        shrink = np.cos(np.radians(lat_deg))
        off = np.hypot(profile.lat_deg - lat_deg, (profile.lon_deg - lon_deg) * shrink)
        i = int(off.argmin())
        away = inverse(lat_deg, lon_deg, float(profile.lat_deg[i]), float(profile.lon_deg[i]))
        return float(profile.distance_m[i]) if away.distance_m <= within_m else None

    def _on_plan_changed(self, plan: Plan) -> None:
        self.refresh()

    def _on_path_changed(self, path: object) -> None:
        self.refresh()

    def _site_end(self, site_id: SiteId) -> PathEnd | None:
        position = self._document.plan.site(site_id).position
        if position is None:
            return None
        return PathEnd(lat_deg=position.lat_deg, lon_deg=position.lon_deg, site_id=site_id)

    def _other_end(self, end: int, site_id: SiteId) -> PathEnd | None:
        path = self._selection.path
        if path is not None:
            other = path[FAR if end == NEAR else NEAR]
            # choosing the other end's own site turns the path round
            return path[end] if other.site_id == site_id else other
        plan = self._document.plan
        neighbours = [link.other(site_id) for link in plan.links_of(site_id)]
        wished = [self._selection.site_id, *neighbours, *(s.site_id for s in plan.sites)]
        for candidate in wished:
            if candidate is not None and candidate != site_id and plan.has_site(candidate):
                found = self._site_end(candidate)
                if found is not None:
                    return found
        return None

    def _make_view(self) -> PathView | None:
        plan, path = self._document.plan, self._selection.path
        if path is None:
            return None
        near, far = _end_view(plan, path[NEAR]), _end_view(plan, path[FAR])
        if near is None or far is None:
            return None
        known = PathView(
            plan=plan,
            ends=(near, far),
            way=inverse(near.lat_deg, near.lon_deg, far.lat_deg, far.lon_deg),
        )
        if known.way.distance_m < 1.0:
            return replace(known, problem="Both ends are at the same place.")
        try:
            return _assessed(replace(known, profile=self._profile(known)))
        except GuylineError as error:
            return replace(known, problem=f"{error} {error.advice}".strip())

    def _profile(self, view: PathView) -> Profile | None:
        if self._terrain is None:
            return None
        if self._kept is None or self._kept[0] != view.key:
            self._kept = (view.key, self._terrain.profile(*view.key))
        return self._kept[1]


def _end_view(plan: Plan, end: PathEnd) -> EndView | None:
    """An end as the plan has it now; None where its site is gone or has lost its position."""
    if end.site_id is None:
        return EndView(
            label="point on the map",
            lat_deg=end.lat_deg,
            lon_deg=end.lon_deg,
            site_id=None,
            antenna_agl_m=end.antenna_agl_m,
        )
    if not plan.has_site(end.site_id):
        return None
    site = plan.site(end.site_id)
    if site.position is None:
        return None
    return EndView(
        label=site.site_id,
        lat_deg=site.position.lat_deg,
        lon_deg=site.position.lon_deg,
        site_id=site.site_id,
        antenna_agl_m=site.antenna_agl_m,
    )


def _assessed(view: PathView) -> PathView:
    """The view with loss, clearance and margin as far as they can be known."""
    near, far = view.ends
    if view.profile is None:
        return replace(
            view, problem="No elevation data is loaded: add a terrain file to the plan."
        )
    if near.antenna_agl_m is None or far.antenna_agl_m is None:
        unknown = [e.label for e in view.ends if e.antenna_agl_m is None]
        heights = "height" if len(unknown) == 1 else "heights"
        return replace(
            view,
            problem=f"Antenna {heights} of {' and '.join(unknown)} unknown: "
            "draw the mast up from the ground, or enter it in the table.",
        )
    if near.site_id is not None and far.site_id is not None:
        link = assess_link(
            view.plan,
            Link(from_id=near.site_id, to_id=far.site_id),
            view.profile,
            view.way.distance_m,
            view.way.azimuth_deg,
            view.way.back_azimuth_deg,
        )
        return replace(view, link=link, path=link.path)
    return replace(view, path=_bare_path(view.plan, view.profile, near, far))


def _bare_path(plan: Plan, profile: Profile, near: EndView, far: EndView) -> PathAssessment:
    with_antenna = [plan.site(e.site_id) for e in (near, far) if e.site_id is not None]
    polarisation = with_antenna[0].antenna.polarisation if with_antenna else "vertical"
    return assess_path(
        profile,
        near.antenna_agl_m or 0.0,
        far.antenna_agl_m or 0.0,
        plan.radio_profile.frequency_hz,
        earth_k=plan.earth_k,
        polarisation=polarisation,
        bands=plan.clutter,
    )
