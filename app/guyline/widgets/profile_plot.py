"""The path between two places: terrain, Fresnel zone, masts to be drawn up and down."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QStackedLayout, QVBoxLayout, QWidget

from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.services.assessment import Assessor
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.path_view import HasProfiles, PathModel, PathView
from guyline.viewmodels.path_view_facts import path_summary
from guyline.viewmodels.selection import Selection
from guyline.widgets.profile_plot_canvas import ProfileCanvas
from guyline.widgets.profile_plot_header import ProfileHeader
from guyline.widgets.theme import CurrentTheme, Theme

FIRST_STEP = "Pick two sites in the table or on the map to see the ground between them."
KEYS = (
    "Draw a mast up or down with the mouse. Keys: left or right takes a mast, up and down move it"
    " by 0.5 m, with Shift by 0.1 m, page up and down by 5 m; Ctrl with left or right walks along"
    " the path; 0 shows the whole path."
)
BESIDE_SHARE = 0.02  # a place farther off the path than this share of it is not shown on it


class ProfilePlot(QWidget):
    """Shows `selection.path`; drawing a mast edits the plan, one undo step a drag."""

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        theme: CurrentTheme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._selection = selection
        self._offered: list[tuple[SiteId, str, Verdict | None]] | None = None
        self.model = PathModel(document, selection, self)
        self.header = ProfileHeader(theme.value)
        self.canvas = ProfileCanvas(theme.value)
        self.canvas.setAccessibleName("Profile of the path")
        self.canvas.setWhatsThis(KEYS)
        self._empty = QLabel(FIRST_STEP)
        self._empty.setObjectName("muted")
        self._empty.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._empty.setWordWrap(True)
        self._lay_out()
        self._connect(document, live, theme)
        self._offer_sites()
        self._show(self.model.view)

    def use_terrain(self, terrain: HasProfiles | None, assessor: Assessor) -> None:
        """Draw over another terrain; the assessor is part of the contract of all views."""
        self.model.use_terrain(terrain)

    def _lay_out(self) -> None:
        self._stack = QStackedLayout()
        self._stack.addWidget(self._empty)
        self._stack.addWidget(self.canvas)
        rows = QVBoxLayout(self)
        rows.setContentsMargins(0, 0, 0, 0)
        rows.setSpacing(0)
        rows.addWidget(self.header)
        rows.addLayout(self._stack, 1)

    def _connect(self, document: PlanDocument, live: LiveAssessment, theme: CurrentTheme) -> None:
        self.header.site_chosen.connect(
            lambda end, site: self.model.choose_site(end, SiteId(site))
        )
        self.header.point_chosen.connect(self.model.loosen)
        self.header.swapped.connect(self.model.swap)
        self.canvas.drag_started.connect(self.model.begin_drag)
        self.canvas.antenna_wanted.connect(
            lambda end, agl, dragging: self.model.set_antenna(end, agl, dragging=dragging)
        )
        self.canvas.pointed_at.connect(self._point)
        self._selection.place_changed.connect(self._show_place)
        self.model.changed.connect(self._show)
        document.changed.connect(self._on_plan_changed)
        live.updated.connect(self._on_assessed)
        theme.changed.connect(self._use_theme)
        self._live = live

    def _offer_sites(self) -> None:
        """Fill the pickers where sites or verdicts changed; each move of a drag comes here."""
        assessment = self._live.current
        verdicts = {} if assessment is None else {s.site_id: s.verdict for s in assessment.sites}
        offered = [(s.site_id, s.name, verdicts.get(s.site_id)) for s in self.model.sites]
        if offered != self._offered:
            self._offered = offered
            self.header.show_sites(self.model.sites, verdicts)
            self.header.show_path(self.model.view)

    def _show(self, view: PathView | None) -> None:
        self.header.show_path(view)
        self.canvas.show_path(view)
        self._stack.setCurrentWidget(self._empty if view is None else self.canvas)
        self.canvas.setAccessibleDescription(FIRST_STEP if view is None else path_summary(view))

    def _on_plan_changed(self, plan: Plan) -> None:
        self._offer_sites()

    def _on_assessed(self, assessment: PlanAssessment) -> None:
        self._offer_sites()

    def _use_theme(self, theme: Theme) -> None:
        self.header.use_theme(theme)
        self.canvas.use_theme(theme)
        self._show(self.model.view)

    def _point(self, distance_m: float | None) -> None:
        place = None if distance_m is None else self.model.place_at(distance_m)
        self._selection.point_at(place)

    def _show_place(self, place: tuple[float, float] | None) -> None:
        view, distance = self.model.view, None
        if place is not None and view is not None:
            distance = self.model.distance_of(*place, within_m=BESIDE_SHARE * view.way.distance_m)
        self.canvas.point_at(distance)
