"""Where everything lies on the desk: table, ground, path, readiness, days."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar

from PySide6.QtCore import QByteArray, Qt, QTimer
from PySide6.QtGui import QPaintEvent, QShowEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QHBoxLayout,
    QLineEdit,
    QPushButton,
    QSplitter,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import SiteId
from guyline.core.readiness.finding import Verdict
from guyline.services.practice import lessons_beside
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.entries import Entry
from guyline.viewmodels.settings import (
    BODY_STATE,
    COLUMNS_STATE,
    LAYOUT_VERSION,
    MIDDLE_STATE,
    WHOLE_STATE,
    Setting,
    Settings,
)
from guyline.widgets.board_panel import BoardPanel
from guyline.widgets.days_strip import DaysStrip
from guyline.widgets.decision_line import DecisionLine
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import Panel, tight
from guyline.widgets.readiness_panel import ReadinessPanel
from guyline.widgets.site_table_view import SiteTableView
from guyline.widgets.theme import GRID_PX, CurrentTheme

if TYPE_CHECKING:
    from guyline.widgets.ground_map import GroundMap
    from guyline.widgets.link_panel import LinkPanel
    from guyline.widgets.plan_form import PlanForm
    from guyline.widgets.power_panel import PowerPanel
    from guyline.widgets.profile_plot import ProfilePlot
    from guyline.widgets.site_form import SiteForm

LAYOUT = 1  # raise when the panels change places: sizes of an older layout are then forgotten
_LEAST_MIDDLE_PX = 440
_NAME = "pageName"
_Page = TypeVar("_Page", bound=QWidget)
_MIDDLE_SIZES, _WHOLE_SIZES = (290, 300), (544, 168)


class Workspace(QWidget):
    """The panels and the splitters between them; sizes are remembered by `settings`.

    Map and profile are made when the window has been painted, and the pages that a start does
    not show when somebody first asks for them: before, they doubled the time to the window.
    """

    def __init__(self, desk: Desk, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk, self._theme = desk, theme
        self._is_as_designed = True
        self._is_painted = False
        self.decision = DecisionLine(desk.live, theme)
        self.notices = NoticeBar()
        self.table = SiteTableView(desk.table, desk.document, desk.selection, theme)
        self.find_box = _find_box(self.table)
        self._ground_panel = Panel("Ground", shows_heading=False)
        self._path_panel = Panel("Path", shows_heading=False)
        self.readiness = ReadinessPanel(desk.readiness, desk.why_not, theme)
        self.days = DaysStrip(desk.live, desk.selection, theme)
        self.board = BoardPanel(desk.live, theme)
        self.side = _Side(
            ("Board", lambda: self.board),
            ("Readiness", lambda: self.readiness),
            ("Link", lambda: self.link),
            ("Power", lambda: self.power),
            ("Details", lambda: self.details),
            ("Plan", lambda: self.plan),
        )
        self.side.hold("Board", self.board)
        self.side.hold("Readiness", self.readiness)
        self._lay_out()
        self._connect()

    @cached_property
    def ground(self) -> GroundMap:
        from guyline.widgets.ground_map import GroundMap

        desk = self._desk
        ground = GroundMap(desk.document, desk.selection, desk.live, self._theme)
        ground.use_terrain(desk.terrain, desk.assessor)
        desk.terrain_changed.connect(ground.use_terrain)
        return self._ground_panel.take(ground)

    @cached_property
    def path(self) -> ProfilePlot:
        from guyline.widgets.profile_plot import ProfilePlot

        desk = self._desk
        path = ProfilePlot(desk.document, desk.selection, desk.live, self._theme)
        path.use_terrain(desk.terrain, desk.assessor)
        desk.terrain_changed.connect(path.use_terrain)
        return self._path_panel.take(path)

    @cached_property
    def link(self) -> LinkPanel:
        from guyline.widgets.link_panel import LinkPanel

        panel = LinkPanel(self._desk.link, self._theme)
        panel.entry_wanted.connect(self.enter_at)
        return self.side.hold("Link", panel)

    @cached_property
    def power(self) -> PowerPanel:
        from guyline.widgets.power_panel import PowerPanel

        return self.side.hold("Power", PowerPanel(self._desk.power, self._theme))

    @cached_property
    def details(self) -> SiteForm:
        from guyline.widgets.site_form import SiteForm

        form = SiteForm(self._desk.document, self._desk.selection)
        form.refused.connect(self.notices.tell_error)
        form.use_terrain(self._desk.terrain, self._desk.assessor)
        self._desk.terrain_changed.connect(form.use_terrain)
        return self.side.hold("Details", form)

    @cached_property
    def plan(self) -> PlanForm:
        from guyline.widgets.plan_form import PlanForm

        form = PlanForm(self._desk.document, self._desk.session)
        form.refused.connect(self.notices.tell_error)
        return self.side.hold("Plan", form)

    def restore(self, settings: Settings) -> None:
        """Take the remembered sizes, or the designed ones where there are none of this layout."""
        self._is_as_designed = settings.get(LAYOUT_VERSION) != LAYOUT
        if self._is_as_designed:
            self.reset_layout()
            return
        for splitter, setting in self._remembered():
            splitter.restoreState(settings.get(setting))
        self.table.horizontalHeader().restoreState(settings.get(COLUMNS_STATE))

    def remember(self, settings: Settings) -> None:
        settings.put(LAYOUT_VERSION, LAYOUT)
        for splitter, setting in self._remembered():
            settings.put(setting, splitter.saveState())
        settings.put(COLUMNS_STATE, self.table.horizontalHeader().saveState())

    def reset_layout(self) -> None:
        """Give every panel its designed share and every column its designed width."""
        self._body.setSizes(_body_sizes(self.window().width() - 2 * GRID_PX))
        self._middle.setSizes(_MIDDLE_SIZES)
        self._whole.setSizes(_WHOLE_SIZES)
        self.table.lay_out_columns()

    def shut_down(self) -> None:
        """Give up all work of the map, if there is one yet."""
        if "ground" in vars(self):
            self.ground.shut_down()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._is_as_designed:  # only now do the splitters know how much there is to share
            self._is_as_designed = False
            self.reset_layout()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            QTimer.singleShot(0, lambda: (self.ground, self.path))

    def _remembered(self) -> tuple[tuple[QSplitter, Setting[QByteArray]], ...]:
        return (
            (self._body, BODY_STATE),
            (self._middle, MIDDLE_STATE),
            (self._whole, WHOLE_STATE),
        )

    def _lay_out(self) -> None:
        sites = Panel("Sites", self.table)
        sites.bar.addWidget(self.find_box)
        self._middle = _splitter(
            Qt.Orientation.Vertical,
            self._ground_panel,
            self._path_panel,
        )
        self._body = _splitter(Qt.Orientation.Horizontal, sites, self._middle, self.side)
        self._whole = _splitter(
            Qt.Orientation.Vertical, self._body, Panel("Days", self.days, shows_heading=False)
        )
        self._body.setStretchFactor(1, 1)
        self._whole.setStretchFactor(0, 1)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GRID_PX, 0, GRID_PX, GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addWidget(self.decision)
        layout.addWidget(self.notices)
        layout.addWidget(self._whole, 1)

    def _connect(self) -> None:
        desk, tell = self._desk, self.notices.tell_error
        self.table.refused.connect(tell)
        desk.live.refused.connect(tell)
        desk.session.failed.connect(tell)
        desk.power.refused.connect(tell)
        self.readiness.mended.connect(desk.readiness.mend)
        self.readiness.entry_wanted.connect(self.enter)
        self.board.entry_wanted.connect(self.enter)
        desk.session.opened.connect(lambda opened: self.board.teach(lessons_beside(opened.path)))
        self.board.site_chosen.connect(self._show_readiness_of)
        desk.selection.site_changed.connect(self._leave_board)
        desk.following.begun.connect(lambda: self.side.turn_to(self.board))
        self.table.pasted.connect(self._tell_paste)
        self.decision.verdict_chosen.connect(self._show_only)

    def enter(self, entry: Entry) -> None:
        """Go to where a finding is answered: a field, a row, or the readiness of another site."""
        if entry.site_id not in (None, self._desk.selection.site_id):
            self.table.show_site(entry.site_id)
        if entry.path:
            self.enter_at(entry.path, entry.row, entry.cell)
        else:
            self.side.turn_to(self.readiness)

    def enter_at(self, path: str, row: str = "", cell: str = "") -> None:
        """Go to where a value is entered, on the page that has it."""
        page = self.details if self.details.go_to(path) else self.plan
        self.side.turn_to(page)
        page.go_to(path, row, cell)

    def _show_readiness_of(self, site_id: SiteId) -> None:
        self.table.show_site(site_id)
        self.side.turn_to(self.readiness)

    def _leave_board(self, site_id: SiteId | None) -> None:
        """Somebody picked a site: what stands about it is what they want to read."""
        if site_id is not None and self.side.is_showing(self.board):
            self.side.turn_to(self.readiness)

    def _show_only(self, verdict: Verdict | None) -> None:
        self.table.filter.show_only(verdict)

    def _tell_paste(self, summary: str) -> None:
        self.notices.tell(summary, action=("Undo", self._desk.document.undo_stack.undo))


class _Side(Panel):
    """The board first, then what belongs to the selected site; each page is a key away.

    `pages` are names and how to come by each page; whoever makes one hands it to `hold`.
    """

    def __init__(self, *pages: tuple[str, Callable[[], QWidget]]) -> None:
        self._stack = QStackedWidget()
        super().__init__("Board, readiness, link, power, details and plan", self._stack)
        self.heading.hide()
        self._buttons: dict[str, QPushButton] = {}
        group = QButtonGroup(self)
        group.setExclusive(True)
        row = QHBoxLayout()
        tight(row, 3)
        for i, (name, page) in enumerate(pages, start=1):
            button = self._buttons[name] = QPushButton(name)
            button.setObjectName("segment")
            button.setCheckable(True)
            button.setToolTip(f"{name} (Ctrl+{i})")
            button.clicked.connect(lambda _, page=page: self.turn_to(page()))
            group.addButton(button)
            row.addWidget(button)
        self.bar.insertLayout(0, row)
        self._buttons[pages[0][0]].setChecked(True)

    def hold(self, name: str, page: _Page) -> _Page:
        """Take in a page that has just been made, and return it."""
        page.setProperty(_NAME, name)
        self._stack.addWidget(page)
        return page

    def turn_to(self, page: QWidget) -> None:
        """Show one of the pages; the keyboard stays where it is."""
        self._stack.setCurrentWidget(page)
        self._buttons[page.property(_NAME)].setChecked(True)

    def is_showing(self, page: QWidget) -> bool:
        return self._stack.currentWidget() is page

    def show_page(self, page: QWidget) -> None:
        """Show one of the pages and go there with the keyboard."""
        self.turn_to(page)
        page.setFocus()


def _body_sizes(width_px: int) -> tuple[int, int, int]:
    """Return widths of table, middle and side: room for text first, the rest for the ground."""
    side = min(max(372 if width_px > 1_200 else 300, width_px * 23 // 100), 460)
    sites = min(max(504, width_px * 36 // 100), 760, width_px - side - _LEAST_MIDDLE_PX)
    return sites, width_px - sites - side, side


def _find_box(table: SiteTableView) -> QLineEdit:
    box = QLineEdit()
    box.setPlaceholderText("Find (Ctrl+F)")
    box.setAccessibleName("Find sites")
    box.setToolTip("Shows the sites that contain every word you type")
    box.setClearButtonEnabled(True)
    box.setMaximumWidth(24 * GRID_PX)
    box.textChanged.connect(table.filter.look_for)
    return box


def _splitter(orientation: Qt.Orientation, *widgets: QWidget) -> QSplitter:
    splitter = QSplitter(orientation)
    splitter.setHandleWidth(GRID_PX)
    splitter.setChildrenCollapsible(False)
    for widget in widgets:
        splitter.addWidget(widget)
    return splitter
