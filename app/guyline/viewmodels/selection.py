"""What the planner points at: a site, the two ends of a path, a place along it."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import SiteId


@dataclass(frozen=True, slots=True, kw_only=True)
class PathEnd:
    """An end of the shown path: a site, or a bare point with an antenna height of its own."""

    lat_deg: float
    lon_deg: float
    site_id: SiteId | None = None
    antenna_agl_m: float = 2.0


class Selection(QObject):
    """Shared by table, map, profile and readiness panel, so that they show the same thing."""

    site_changed = Signal(object)
    """SiteId or None."""
    path_changed = Signal(object)
    """(PathEnd, PathEnd) or None."""
    place_changed = Signal(object)
    """(lat_deg, lon_deg) under the pointer on map or profile, or None."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._site_id: SiteId | None = None
        self._path: tuple[PathEnd, PathEnd] | None = None

    @property
    def site_id(self) -> SiteId | None:
        return self._site_id

    @property
    def path(self) -> tuple[PathEnd, PathEnd] | None:
        return self._path

    def select_site(self, site_id: SiteId | None) -> None:
        if site_id != self._site_id:
            self._site_id = site_id
            self.site_changed.emit(site_id)

    def select_path(self, path: tuple[PathEnd, PathEnd] | None) -> None:
        if path != self._path:
            self._path = path
            self.path_changed.emit(path)

    def point_at(self, place: tuple[float, float] | None) -> None:
        self.place_changed.emit(place)
