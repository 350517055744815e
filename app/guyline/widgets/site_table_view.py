"""The site table: sorted, filtered, edited in place, pasted into."""

from __future__ import annotations

from PySide6.QtCore import (
    QEvent,
    QItemSelectionModel,
    QModelIndex,
    QPersistentModelIndex,
    Qt,
    Signal,
)
from PySide6.QtGui import QGuiApplication, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QMenu, QTableView, QWidget

from guyline.core.plan import SiteId
from guyline.errors import GuylineError
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.selection import Selection
from guyline.viewmodels.site_columns import COLUMNS
from guyline.viewmodels.site_paste import copied, paste
from guyline.viewmodels.site_table import SITE_ROLE, SiteFilter, SiteTableModel
from guyline.widgets.site_cells import SiteCells, row_height_px
from guyline.widgets.theme import GRID_PX, CurrentTheme

Index = QModelIndex | QPersistentModelIndex
DESIGNED_TEXT_PX = 15  # line height at the size of text for which the columns are designed
EMPTY = (
    "No sites yet.\n\nPaste a list of places (Ctrl+Shift+V), import a file (Ctrl+I),"
    " or add a site (Ctrl+Shift+N)."
)
HIDDEN = "No site has all these words, or this verdict."
_TOP_AND_WRAPPED = (
    Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignHCenter | Qt.TextFlag.TextWordWrap
)
_WHOLE_ROW = (
    QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
)


class SiteTableView(QTableView):
    """Selects whole rows; what is entered in one cell goes to every selected row.

    `pasted` carries a sentence about what was pasted, `refused` why an entry was not taken.
    """

    pasted = Signal(str)
    refused = Signal(GuylineError)

    def __init__(
        self,
        model: SiteTableModel,
        document: PlanDocument,
        selection: Selection,
        theme: CurrentTheme,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._model, self._document, self._selection = model, document, selection
        self._theme = theme
        self.filter = SiteFilter(model, self)
        self.setModel(self.filter)
        self.setItemDelegate(SiteCells(theme, lambda: document.plan, self._enter, self))
        self._set_up()
        self._is_following = False
        self.selectionModel().currentRowChanged.connect(self._tell_selection)
        self.filter.modelReset.connect(self._follow)
        self.filter.layoutChanged.connect(lambda: self._follow(selection.site_id))
        selection.site_changed.connect(self._follow)
        model.refused.connect(self.refused)
        theme.changed.connect(lambda theme: self.viewport().update())

    @property
    def selected_sites(self) -> list[SiteId]:
        """The selected sites in the order shown."""
        rows = sorted(index.row() for index in self.selectionModel().selectedRows())
        return [self._site_of(row) for row in rows]

    def copy(self) -> None:
        """Put the selected sites on the clipboard as a spreadsheet takes them."""
        if self.selected_sites:
            text = copied(self._document.plan, self.selected_sites)
            QGuiApplication.clipboard().setText(text)

    def paste(self) -> None:
        """Take what a spreadsheet copied, as one undoable step, and tell what happened."""
        text = QGuiApplication.clipboard().text()
        if not text.strip():
            self.pasted.emit("The clipboard holds no text to paste.")
            return
        result = paste(self._document.plan, text, self._paste_place())
        self._document.edit(result.plan, result.step)
        self.pasted.emit(result.summary)

    def edit_current(self) -> None:
        """Open the editor of the current cell, where it can be entered."""
        current = self.currentIndex()
        if current.isValid() and COLUMNS[current.column()].is_editable:
            self.edit(current)

    def show_site(self, site_id: SiteId) -> None:
        """Select a site even where the filter hid it."""
        row = self._model.row_of(site_id)
        if row is None:
            return
        if not self.filter.mapFromSource(self._model.index(row, 0)).isValid():
            self.filter.look_for("")
        self._selection.select_site(site_id)
        self._follow(site_id)

    def _paste_place(self) -> tuple[list[SiteId], int]:
        current = self.currentIndex()
        if not current.isValid():
            return [], 0
        chosen = self.selected_sites
        if len(chosen) > 1:
            return chosen, current.column()
        below = [self._site_of(row) for row in range(current.row(), self.filter.rowCount())]
        return below, current.column()

    def _enter(self, index: Index, text: str) -> None:
        """Enter `text` at `index`, and in the same column of all rows selected with it."""
        site_id = index.data(SITE_ROLE)
        chosen = self.selected_sites
        self._model.edit_many(chosen if site_id in chosen else [site_id], index.column(), text)

    def _site_of(self, row: int) -> SiteId:
        site_id: SiteId = self.filter.index(row, 0).data(SITE_ROLE)
        return site_id

    def _tell_selection(self, current: QModelIndex, previous: QModelIndex) -> None:
        if current.isValid() and not self._is_following:
            self._selection.select_site(current.data(SITE_ROLE))

    def _follow(self, site_id: SiteId | None = None) -> None:
        """Show the selection that somebody else changed, or that a reset has lost."""
        site_id = site_id or self._selection.site_id
        row = None if site_id is None else self._model.row_of(site_id)
        if row is None:
            return
        shown = self.filter.mapFromSource(self._model.index(row, 0))
        if not shown.isValid() or shown.row() == self.currentIndex().row():
            return
        column = max(self.currentIndex().column(), 0)
        index = self.filter.index(shown.row(), column)
        self._is_following = True
        self.selectionModel().setCurrentIndex(index, _WHOLE_ROW)
        self._is_following = False
        self.scrollTo(self.filter.index(shown.row(), column))

    def _set_up(self) -> None:
        self.setAccessibleName("Sites")
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
            | QAbstractItemView.EditTrigger.AnyKeyPressed
        )
        self.setHorizontalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setShowGrid(False)
        self.setWordWrap(True)
        self.setMouseTracking(True)
        self.verticalHeader().hide()
        self._fit_rows()
        self.setSortingEnabled(True)
        self.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        self._set_up_header(self.horizontalHeader())

    def _set_up_header(self, header: QHeaderView) -> None:
        header.setSectionsMovable(True)
        header.setHighlightSections(False)
        header.setMinimumSectionSize(6 * GRID_PX)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setContextMenuPolicy(Qt.ContextMenuPolicy.CustomContextMenu)
        header.customContextMenuRequested.connect(
            lambda at: self._column_menu().exec(header.mapToGlobal(at))
        )
        self.lay_out_columns()

    def lay_out_columns(self) -> None:
        """Give every column its designed width; sizing to contents on each change is slow."""
        scale = self.fontMetrics().height() / DESIGNED_TEXT_PX
        for i, column in enumerate(COLUMNS):
            self.setColumnWidth(i, round(column.width * max(1.0, scale)))
            self.setColumnHidden(i, False)

    def _column_menu(self) -> QMenu:
        menu = QMenu("Columns", self)
        for i, column in enumerate(COLUMNS[2:], 2):
            action = menu.addAction(column.title)
            action.setCheckable(True)
            action.setChecked(not self.isColumnHidden(i))
            action.toggled.connect(lambda on, i=i: self.setColumnHidden(i, not on))
        return menu

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if self.filter.rowCount() == 0:
            painter = QPainter(self.viewport())
            painter.setPen(self._theme.value.muted)
            room = self.viewport().rect().adjusted(GRID_PX, 3 * GRID_PX, -GRID_PX, -GRID_PX)
            text = HIDDEN if self._model.rowCount() else EMPTY
            painter.drawText(room, _TOP_AND_WRAPPED, text)
            painter.end()

    def _fit_rows(self) -> None:
        self.verticalHeader().setDefaultSectionSize(row_height_px(self.fontMetrics()))

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        if event.type() == QEvent.Type.FontChange:
            self._fit_rows()
            self.lay_out_columns()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_editing = self.state() == QAbstractItemView.State.EditingState
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not is_editing:
            self.edit_current()
        else:
            super().keyPressEvent(event)
