"""Paints and edits the cells of the site table."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import (
    QAbstractItemModel,
    QModelIndex,
    QPersistentModelIndex,
    QRect,
    QRectF,
    QSize,
    Qt,
)
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QTextOption
from PySide6.QtWidgets import (
    QComboBox,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from guyline.core.plan import Plan
from guyline.core.readiness.finding import Verdict
from guyline.viewmodels.fields import shown
from guyline.viewmodels.site_columns import COLUMNS
from guyline.viewmodels.site_table import NOTE_ROLE, SITE_ROLE, VERDICT_ROLE
from guyline.widgets.cell_editors import editor_for, show_text, text_of
from guyline.widgets.theme import GRID_PX, CurrentTheme, font
from guyline.widgets.verdict_icon import paint_mark

Index = QModelIndex | QPersistentModelIndex
MARK_PX = 14
_WORD_JOINER = "\u2060"  # keeps "Wh/day" on one line
_STRONG_COLUMNS = ("verdict", "site_id")


class SiteCells(QStyledItemDelegate):
    """Two quiet lines to a row: marks first, words beside them, numbers to the right.

    An entry goes to `enter(index, text)`, which knows of the other selected rows.
    """

    def __init__(
        self,
        theme: CurrentTheme,
        plan: Callable[[], Plan],
        enter: Callable[[Index, str], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self._theme, self._plan, self._enter = theme, plan, enter

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        self._paint_background(painter, option)
        box = option.rect.adjusted(GRID_PX, 2, -GRID_PX, -2)
        verdict = index.data(VERDICT_ROLE)
        if verdict is not None:
            mark = QRectF(box.left(), box.center().y() - MARK_PX / 2 + 1, MARK_PX, MARK_PX)
            paint_mark(painter, Verdict(verdict), mark, self._theme.value)
            box.setLeft(box.left() + MARK_PX + GRID_PX - 2)
        self._paint_text(painter, box, index, option.font.pointSizeF())

    def _paint_background(self, painter: QPainter, option: QStyleOptionViewItem) -> None:
        theme = self._theme.value
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, QColor(theme.selection))
        painter.setPen(QColor(theme.hairline))
        painter.drawLine(option.rect.bottomLeft(), option.rect.bottomRight())
        if option.state & QStyle.StateFlag.State_HasFocus:
            painter.setPen(QColor(theme.accent))
            painter.drawRect(option.rect.adjusted(0, 0, -1, -1))

    def _paint_text(self, painter: QPainter, box: QRect, index: Index, points: float) -> None:
        theme = self._theme.value
        is_strong = COLUMNS[index.column()].key in _STRONG_COLUMNS
        text, note = str(index.data() or ""), index.data(NOTE_ROLE)
        text = text.replace("/", f"{_WORD_JOINER}/{_WORD_JOINER}")
        painter.setPen(QColor(theme.ink if text else theme.muted))
        painter.setFont(font(points, bold=is_strong))
        if note:
            metrics = QFontMetrics(painter.font())
            middle = box.center().y()
            upper = QRect(box.left(), box.top(), box.width(), middle - box.top())
            painter.drawText(
                upper,
                Qt.AlignmentFlag.AlignBottom,
                metrics.elidedText(text, Qt.TextElideMode.ElideRight, box.width()),
            )
            self._paint_note(painter, QRect(box.left(), middle, box.width(), middle), note, points)
            return
        _draw_wrapped(painter, box, text or "–", index.data(Qt.ItemDataRole.TextAlignmentRole))

    def _paint_note(self, painter: QPainter, box: QRect, note: str, points: float) -> None:
        painter.setFont(font(points - 1))
        painter.setPen(QColor(self._theme.value.muted))
        elided = QFontMetrics(painter.font()).elidedText(
            note, Qt.TextElideMode.ElideRight, box.width()
        )
        painter.drawText(box, Qt.AlignmentFlag.AlignTop, elided)

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(COLUMNS[index.column()].width, row_height_px(option.fontMetrics))

    def createEditor(self, parent: QWidget, option: QStyleOptionViewItem, index: Index) -> QWidget:
        field = COLUMNS[index.column()].field_in(self._plan())
        assert field is not None
        editor = editor_for(field, self._plan(), parent)
        if isinstance(editor, QComboBox):
            editor.activated.connect(lambda: self._finish(editor))
        return editor

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        field = COLUMNS[index.column()].field_in(self._plan())
        assert field is not None
        show_text(editor, shown(field, self._plan().site(index.data(SITE_ROLE))))
        if isinstance(editor, QComboBox):
            editor.showPopup()

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        self._enter(index, text_of(editor))

    def updateEditorGeometry(  # noqa: N802 - Qt's own name
        self, editor: QWidget, option: QStyleOptionViewItem, index: Index
    ) -> None:
        height = max(editor.sizeHint().height(), 28)
        box = QRect(option.rect)
        box.setTop(box.center().y() - height // 2)
        box.setHeight(height)
        editor.setGeometry(box)

    def _finish(self, editor: QWidget) -> None:
        self.commitData.emit(editor)
        self.closeEditor.emit(editor)


def row_height_px(metrics: QFontMetrics) -> int:
    """Return room for two lines and some air."""
    return 2 * metrics.lineSpacing() + GRID_PX + 4


def _draw_wrapped(
    painter: QPainter, box: QRect, text: str, alignment: Qt.AlignmentFlag | None
) -> None:
    """Draw at most two lines, cut with an ellipsis where they do not hold the text."""
    metrics = QFontMetrics(painter.font())
    option = QTextOption(alignment or Qt.AlignmentFlag.AlignVCenter)
    option.setWrapMode(QTextOption.WrapMode.WordWrap)
    if metrics.horizontalAdvance(text) > 2 * box.width() - GRID_PX:
        text = metrics.elidedText(text, Qt.TextElideMode.ElideRight, 2 * box.width() - 3 * GRID_PX)
    painter.drawText(QRectF(box), text, option)
