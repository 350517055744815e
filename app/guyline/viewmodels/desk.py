"""Everything that is open at one time, put together."""

from __future__ import annotations

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan
from guyline.services.assessment import Assessor
from guyline.services.elevation import Terrain
from guyline.services.opening import OpenedPlan
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import end_jobs
from guyline.viewmodels.link_view import LinkView
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.path_following import PathFollowing
from guyline.viewmodels.plan_history import PlanHistory
from guyline.viewmodels.plan_session import PlanSession
from guyline.viewmodels.power_view import PowerView
from guyline.viewmodels.readiness import Readiness
from guyline.viewmodels.selection import Selection
from guyline.viewmodels.settings import Settings
from guyline.viewmodels.site_table import SiteTableModel
from guyline.viewmodels.why_not import WhyNot

GIVE_UP_S = 10.0  # a job looks for its cancel wish far more often


class Desk(QObject):
    """The open plan with its views' models; `terrain_changed` carries (Terrain, Assessor)."""

    terrain_changed = Signal(object, object)

    def __init__(self, settings: Settings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.settings = settings
        self.document = PlanDocument(Plan(), self)
        self.selection = Selection(self)
        self.terrain = Terrain((), ())
        self.assessor = Assessor(self.terrain)
        self.live = LiveAssessment(self.document, self.assessor, self)
        self.session = PlanSession(self.document, settings, self)
        self.history = PlanHistory(self.document, self.session, self)
        self.table = SiteTableModel(self.document, self.live, self)
        self.readiness = Readiness(self.document, self.selection, self.live, self)
        self.why_not = WhyNot(self.document, self.selection, self.live, self.assessor, self)
        self.link = LinkView(self.selection, self.live, self)
        self.power = PowerView(self.document, self.selection, self.live, self.assessor, self)
        self.following = PathFollowing(self.document, self.selection, self.live, self)
        self.session.opened.connect(self._use)
        self.session.replaced.connect(self.following.start_afresh)

    def shut_down(self) -> None:
        """Stop all work and wait until no thread touches the desk any more."""
        self.live.shut_down()
        self.session.blockSignals(True)
        end_jobs(GIVE_UP_S)
        self.session.shut_down()

    def _use(self, opened: OpenedPlan) -> None:
        self.terrain, self.assessor = opened.terrain, opened.assessor
        self.live.use(opened.assessor)
        self.power.use(opened.assessor)
        self.why_not.use(opened.assessor)
        self.terrain_changed.emit(opened.terrain, opened.assessor)
