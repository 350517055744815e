"""Keeps the shown path with the selected site, so that the profile is never empty for nothing."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Link, Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import PathEnd, Selection


class PathFollowing(QObject):
    """Selecting a site shows its weakest link, unless the shown path ends there already.

    `begun` says that a plan just opened has been assessed and shown for the first time.
    """

    begun = Signal()

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document, self._selection, self._live = document, selection, live
        self._is_fresh = True
        selection.site_changed.connect(self._follow)
        live.updated.connect(self._begin)

    def start_afresh(self) -> None:
        """Another plan is on the desk: begin with its worst site once that is known."""
        self._is_fresh = True
        self._selection.select_path(None)
        self._selection.select_site(None)

    def _begin(self, assessment: PlanAssessment) -> None:
        if self._is_fresh and assessment.sites:
            self._is_fresh = False
            if self._selection.site_id is None:
                self._selection.select_site(assessment.worst_first[0].site_id)
            self.begun.emit()

    def _follow(self, site_id: SiteId | None) -> None:
        path = self._selection.path
        if site_id is None or (path is not None and site_id in (end.site_id for end in path)):
            return
        link = weakest_link(self._document.plan, self._live.current, site_id)
        if link is not None:
            shown = path_between(self._document.plan, site_id, link.other(site_id))
            if shown is not None:
                self._selection.select_path(shown)


def weakest_link(plan: Plan, assessment: PlanAssessment | None, site_id: SiteId) -> Link | None:
    """Return the link of a site that has least to spare, the first where that is unknown."""
    links = plan.links_of(site_id)
    known: dict[frozenset[SiteId], LinkAssessment] = (
        {} if assessment is None else {link.link.ends: link for link in assessment.links}
    )

    def margin_db(link: Link) -> float:
        assessed = known.get(link.ends)
        if assessed is None or assessed.margin_db is None:
            return float("-inf")
        return assessed.margin_db

    return min(links, key=margin_db, default=None)


def path_between(plan: Plan, near: SiteId, far: SiteId) -> tuple[PathEnd, PathEnd] | None:
    """Return the path between two sites, None where one has no position."""
    ends = []
    for site_id in (near, far):
        position = plan.site(site_id).position
        if position is None:
            return None
        end = PathEnd(lat_deg=position.lat_deg, lon_deg=position.lon_deg, site_id=site_id)
        ends.append(end)
    return ends[0], ends[1]
