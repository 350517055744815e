"""Where everything lies on the desk: table, ground, path, readiness, days."""

from __future__ import annotations

from PySide6.QtCore import QByteArray, Qt
from PySide6.QtGui import QShowEvent
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
from guyline.viewmodels.desk import Desk
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
from guyline.widgets.ground_map import GroundMap
from guyline.widgets.link_panel import LinkPanel
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import Panel, tight
from guyline.widgets.plan_form import PlanForm
from guyline.widgets.power_panel import PowerPanel
from guyline.widgets.profile_plot import ProfilePlot
from guyline.widgets.readiness_panel import ReadinessPanel
from guyline.widgets.site_form import SiteForm
from guyline.widgets.site_table_view import SiteTableView
from guyline.widgets.theme import GRID_PX, CurrentTheme

LAYOUT = 1  # raise when the panels change places: sizes of an older layout are then forgotten
_LEAST_MIDDLE_PX = 440
_MIDDLE_SIZES, _WHOLE_SIZES = (290, 300), (544, 168)


class Workspace(QWidget):
    """The panels and the splitters between them; sizes are remembered by `settings`."""

    def __init__(self, desk: Desk, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._desk = desk
        self._is_as_designed = True
        self.decision = DecisionLine(desk.live, theme)
        self.notices = NoticeBar()
        self.table = SiteTableView(desk.table, desk.document, desk.selection, theme)
        self.find_box = _find_box(self.table)
        self.ground = GroundMap(desk.document, desk.selection, desk.live, theme)
        self.path = ProfilePlot(desk.document, desk.selection, desk.live, theme)
        self.readiness = ReadinessPanel(desk.readiness, theme)
        self.details = SiteForm(desk.document, desk.selection)
        self.plan = PlanForm(desk.document, desk.session)
        self.days = DaysStrip(desk.live, desk.selection, theme)
        self.link = LinkPanel(desk.link, theme)
        self.board = BoardPanel(desk.live, theme)
        self.power = PowerPanel(desk.power, theme)
        self.side = _Side(
            ("Board", self.board),
            ("Readiness", self.readiness),
            ("Link", self.link),
            ("Power", self.power),
            ("Details", self.details),
            ("Plan", self.plan),
        )
        self._lay_out()
        self._connect()

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

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        if self._is_as_designed:  # only now do the splitters know how much there is to share
            self._is_as_designed = False
            self.reset_layout()

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
            Panel("Ground", self.ground, shows_heading=False),
            Panel("Path", self.path, shows_heading=False),
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
        for source in (self.table, self.details, self.plan):
            source.refused.connect(tell)
        desk.live.refused.connect(tell)
        desk.session.failed.connect(tell)
        desk.power.refused.connect(tell)
        self.readiness.mended.connect(desk.readiness.mend)
        self.readiness.entry_wanted.connect(self.enter_at)
        self.board.site_chosen.connect(self._show_readiness_of)
        desk.selection.site_changed.connect(self._leave_board)
        desk.following.begun.connect(lambda: self.side.turn_to(self.board))
        self.table.pasted.connect(self._tell_paste)
        self.decision.verdict_chosen.connect(self._show_only)
        desk.terrain_changed.connect(self.ground.use_terrain)
        desk.terrain_changed.connect(self.path.use_terrain)
        desk.terrain_changed.connect(self.details.use_terrain)

    def enter_at(self, path: str) -> None:
        """Go to where a value is entered, on the page that has it."""
        page = self.details if self.details.go_to(path) else self.plan
        self.side.turn_to(page)
        page.go_to(path)

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
    """The board first, then what belongs to the selected site; each page is a key away."""

    def __init__(self, *pages: tuple[str, QWidget]) -> None:
        self._stack = QStackedWidget()
        super().__init__("Board, readiness, link, power, details and plan", self._stack)
        self.heading.hide()
        self._group = QButtonGroup(self)
        self._group.setExclusive(True)
        buttons = QHBoxLayout()
        tight(buttons, 3)
        for i, (text, page) in enumerate(pages):
            self._stack.addWidget(page)
            button = QPushButton(text)
            button.setObjectName("segment")
            button.setCheckable(True)
            button.setChecked(i == 0)
            button.setToolTip(f"{text} (Ctrl+{i + 1})")
            self._group.addButton(button, i)
            buttons.addWidget(button)
        self.bar.insertLayout(0, buttons)
        self._group.idClicked.connect(self._stack.setCurrentIndex)

    def turn_to(self, page: QWidget) -> None:
        """Show one of the pages; the keyboard stays where it is."""
        self._stack.setCurrentWidget(page)
        self._group.button(self._stack.currentIndex()).setChecked(True)

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
