"""Sites, links, the shown path and the pointer, painted over the ground."""

from __future__ import annotations

import pyqtgraph as pg
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPixmap, QPolygonF
from PySide6.QtWidgets import QStyleOptionGraphicsItem, QWidget

from guyline.core.plan import SiteFunction, SiteId
from guyline.viewmodels.ground_view_labels import Name, box_on_line, mark_box, placed_names
from guyline.viewmodels.ground_view_marks import LinkLine, LinkState, PlaceMark, SiteMark
from guyline.viewmodels.verdict_marks import mark_path
from guyline.widgets.ground_map_text import HaloText, hairline, on_screen, text_size
from guyline.widgets.theme import Theme

MARK_PX = 14.0
STAMP_PX = MARK_PX + 4.0
VERDICT_PX = 10.0
HOUSE_PX = 10.0
SOLID, DOTTED = Qt.PenStyle.SolidLine, Qt.PenStyle.DotLine
NAME_POINTS, VERDICT_POINTS, MARGIN_POINTS, PLACE_POINTS = 9.0, 8.0, 8.0, 8.0
SHORTEST_LABELLED_PX = 70.0
MOST_FIGURES = 200  # our choice: more figures than that hide the ground and cost a frame
EVERYWHERE = QRectF(-1e7, -1e7, 2e7, 2e7)  # the plan may lie anywhere in the frame

LINE_STYLES = {
    LinkState.KEPT: Qt.PenStyle.SolidLine,
    LinkState.BELOW: Qt.PenStyle.DashLine,
    LinkState.UNKNOWN: Qt.PenStyle.DotLine,
}


class PlanDrawing(pg.GraphicsObject):  # type: ignore[misc]  # pyqtgraph ships no types
    """One item for all that the plan puts on the ground; marks keep their size on the screen."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._text = HaloText()
        self._stamps: dict[tuple[SiteFunction, float], QPixmap] = {}
        self.marks: tuple[SiteMark, ...] = ()
        self.lines: tuple[LinkLine, ...] = ()
        self.selected: SiteId | None = None
        self.path: tuple[tuple[float, float], ...] = ()
        self.pointer: tuple[float, float] | None = None
        self.places: tuple[PlaceMark, ...] = ()
        self.obstacles: tuple[QRectF, ...] = ()
        self.measured: tuple[tuple[float, float], tuple[float, float], str] | None = None

    def use_theme(self, theme: Theme) -> None:
        self._theme = theme
        self._text.clear()
        self._stamps.clear()
        self.update()

    def boundingRect(self) -> QRectF:
        return EVERYWHERE

    def paint(
        self, painter: QPainter, option: QStyleOptionGraphicsItem, widget: QWidget | None = None
    ) -> None:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._paint_path(painter)
        self._paint_links(painter)
        self._paint_measured(painter)
        self._paint_places(painter)
        taken = self._paint_sites(painter)
        self._paint_margins(painter, [*taken, *self.obstacles])
        self._paint_pointer(painter)

    def _paint_links(self, painter: QPainter) -> None:
        to = painter.worldTransform()
        theme = self._theme
        colors = {
            LinkState.KEPT: theme.lines[0],
            LinkState.BELOW: theme.lines[1],
            LinkState.UNKNOWN: theme.muted,
        }
        view = QRectF(painter.viewport())
        seen: dict[LinkState, list[QLineF]] = {state: [] for state in LinkState}
        for line in self.lines:
            a = to.map(QPointF(line.x1_m, line.y1_m))
            b = to.map(QPointF(line.x2_m, line.y2_m))
            if QRectF(a, b).normalized().adjusted(-1, -1, 1, 1).intersects(view):
                seen[line.state].append(QLineF(a, b))
        is_crowded = len(self.lines) > MOST_FIGURES  # thick lines cost ten times as much
        with on_screen(painter):
            for state in (LinkState.KEPT, LinkState.UNKNOWN, LinkState.BELOW):
                if not is_crowded:
                    painter.setPen(hairline(theme.paper, 4.0))
                    painter.drawLines(seen[state])
                width = 1.0 if is_crowded else 2.0
                painter.setPen(hairline(colors[state], width, LINE_STYLES[state]))
                painter.drawLines(seen[state])

    def _paint_margins(self, painter: QPainter, taken: list[QRectF]) -> None:
        """The margin on each line, where there is room for it."""
        if len(self.lines) > MOST_FIGURES:
            return
        to, view = painter.worldTransform(), QRectF(painter.viewport())
        for line in reversed(self.lines):  # what is wrong is drawn last and named first
            ends = QLineF(
                to.map(QPointF(line.x1_m, line.y1_m)), to.map(QPointF(line.x2_m, line.y2_m))
            )
            if ends.length() < SHORTEST_LABELLED_PX:
                continue
            words = "?" if line.state is LinkState.UNKNOWN else line.label
            box = box_on_line(ends, text_size(words, MARGIN_POINTS), taken, view)
            if box is not None:
                taken.append(box)
                self._text.draw(
                    painter,
                    box.center(),
                    words,
                    self._theme.ink,
                    self._theme.paper,
                    points=MARGIN_POINTS,
                )

    def _paint_path(self, painter: QPainter) -> None:
        """The shown path as a broad band, so that a link on it keeps its own line."""
        if len(self.path) != 2:
            return
        to = painter.worldTransform()
        a, b = (to.map(QPointF(*point)) for point in self.path)
        band = QColor(self._theme.accent)
        band.setAlphaF(0.45)
        with on_screen(painter):
            painter.setPen(hairline(band, 9.0))
            painter.drawLine(a, b)
            painter.setPen(hairline(self._theme.accent, 1.0))
            painter.drawLine(a, b)
            painter.setBrush(QColor(self._theme.accent))
            for end in (a, b):
                painter.drawPolygon(_turned_square(end, 6.0))

    def _paint_measured(self, painter: QPainter) -> None:
        if self.measured is None:
            return
        first, second, words = self.measured
        to = painter.worldTransform()
        a, b = to.map(QPointF(*first)), to.map(QPointF(*second))
        with on_screen(painter):
            painter.setPen(hairline(self._theme.accent, 1.5, Qt.PenStyle.DashLine))
            painter.drawLine(a, b)
        middle = (a + b) / 2
        self._text.draw(painter, middle, words, self._theme.ink, self._theme.paper, bold=True)

    def _paint_places(self, painter: QPainter) -> None:
        """Places that need service: a small house, filled where it is served."""
        to = painter.worldTransform()
        theme = self._theme
        for place in self.places:
            at = to.map(QPointF(place.x_m, place.y_m))
            fill = theme.ink if place.is_served else theme.paper
            with on_screen(painter):
                painter.setPen(hairline(theme.paper, 4.0))
                painter.drawPath(house_path(at))
                style = DOTTED if place.is_served is None else SOLID
                painter.setPen(hairline(theme.ink, 1.5, style))
                painter.setBrush(QColor(fill))
                painter.drawPath(house_path(at))

    def _paint_sites(self, painter: QPainter) -> list[QRectF]:
        """Marks and names; returns what they cover."""
        to = painter.worldTransform()
        places = [to.map(QPointF(mark.x_m, mark.y_m)) for mark in self.marks]
        view = QRectF(painter.viewport()).adjusted(-MARK_PX, -MARK_PX, MARK_PX, MARK_PX)
        with on_screen(painter):
            for mark, at in zip(self.marks, places, strict=True):
                if view.contains(at):
                    self._paint_mark(painter, mark, at)
        houses = [to.map(QPointF(place.x_m, place.y_m)) for place in self.places]
        names = [self._name(mark, at) for mark, at in zip(self.marks, places, strict=True)]
        names += [_house_name(p, at) for p, at in zip(self.places, houses, strict=True)]
        found = placed_names(names, QRectF(painter.viewport()), self.obstacles)
        for placed in found:
            if placed.which < len(self.marks):
                self._paint_name(painter, self.marks[placed.which], placed.box, placed.is_long)
            else:
                place = self.places[placed.which - len(self.marks)]
                name = place.label if placed.is_long else place.name
                ink, paper = self._theme.ink, self._theme.paper
                self._text.draw(
                    painter, placed.box.center(), name, ink, paper, points=PLACE_POINTS
                )
        return [*map(mark_box, names), *(placed.box for placed in found)]

    def _paint_mark(self, painter: QPainter, mark: SiteMark, at: QPointF) -> None:
        if mark.site_id == self.selected:
            painter.setPen(hairline(self._theme.accent, 2.5))
            painter.setBrush(QColor(self._theme.selection))
            painter.drawEllipse(at, MARK_PX, MARK_PX)
        ratio = painter.device().devicePixelRatioF()
        key = (mark.function, ratio)
        if key not in self._stamps:
            self._stamps[key] = _mark_stamp(self._theme, mark.function, ratio)
        half = STAMP_PX / 2
        painter.drawPixmap(at - QPointF(half, half), self._stamps[key])

    def _name(self, mark: SiteMark, at: QPointF) -> Name:
        short = text_size(mark.site_id, NAME_POINTS, bold=True)
        width = short[0] + VERDICT_PX + 4
        words = "" if mark.verdict is None else str(mark.verdict)
        verdict = text_size(words, VERDICT_POINTS)
        return Name(
            at=at,
            mark_px=MARK_PX,
            long_px=(max(width, verdict[0]), short[1] + verdict[1] - 3),
            short_px=(width, short[1]),
            is_first=mark.site_id == self.selected,
        )

    def _paint_name(self, painter: QPainter, mark: SiteMark, box: QRectF, is_long: bool) -> None:
        theme = self._theme
        width, height = text_size(mark.site_id, NAME_POINTS, bold=True)
        middle = box.topLeft() + QPointF(width / 2, height / 2)
        self._text.draw(
            painter, middle, mark.site_id, theme.ink, theme.paper, points=NAME_POINTS, bold=True
        )
        if mark.verdict is None:
            return
        color = theme.verdict_color(mark.verdict)
        with on_screen(painter):
            sign = QRectF(0, 0, VERDICT_PX, VERDICT_PX)
            sign.moveCenter(box.topLeft() + QPointF(width + 4 + VERDICT_PX / 2, height / 2))
            outline = mark_path(mark.verdict, sign)
            painter.strokePath(outline, hairline(theme.paper, 3.0))
            painter.fillPath(outline, QColor(color))
        if is_long:
            words = str(mark.verdict)
            size = text_size(words, VERDICT_POINTS)
            below = box.topLeft() + QPointF(size[0] / 2, height - 3 + size[1] / 2)
            self._text.draw(painter, below, words, color, theme.paper, points=VERDICT_POINTS)

    def _paint_pointer(self, painter: QPainter) -> None:
        if self.pointer is None:
            return
        at = painter.worldTransform().map(QPointF(*self.pointer))
        with on_screen(painter):
            for color, width in ((self._theme.paper, 4.0), (self._theme.accent, 2.0)):
                painter.setPen(hairline(color, width))
                painter.setBrush(Qt.BrushStyle.NoBrush)
                painter.drawEllipse(at, 6.0, 6.0)
                for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
                    way = QPointF(dx, dy)
                    painter.drawLine(at + way * 6, at + way * 12)


def function_path(function: SiteFunction, at: QPointF, side: float = MARK_PX) -> QPainterPath:
    """What a site does, as a plain shape: ring for an end point, square for what passes on."""
    half = side / 2
    box = QRectF(at.x() - half, at.y() - half, side, side)
    path = QPainterPath()
    if function is SiteFunction.END_POINT:
        path.addEllipse(box)
    else:
        path.addRect(box.adjusted(1, 1, -1, -1))
    return path


def gateway_half(at: QPointF, side: float = MARK_PX) -> QPainterPath:
    """The filled half that tells a gateway's square from a relay's."""
    half = side / 2 - 1
    path = QPainterPath()
    path.addPolygon(
        QPolygonF(
            [at + QPointF(-half, -half), at + QPointF(half, half), at + QPointF(-half, half)]
        )
    )
    path.closeSubpath()
    return path


def _mark_stamp(theme: Theme, function: SiteFunction, ratio: float) -> QPixmap:
    """The mark drawn once: a plan may have a thousand of them."""
    stamp = QPixmap(round(STAMP_PX * ratio), round(STAMP_PX * ratio))
    stamp.setDevicePixelRatio(ratio)
    stamp.fill(Qt.GlobalColor.transparent)
    at = QPointF(STAMP_PX / 2, STAMP_PX / 2)
    painter = QPainter(stamp)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(hairline(theme.ink, 2.0))
    painter.setBrush(QColor(theme.paper))
    painter.drawPath(function_path(function, at))
    if function is SiteFunction.GATEWAY:
        painter.fillPath(gateway_half(at), QColor(theme.ink))
    painter.end()
    return stamp


def _house_name(place: PlaceMark, at: QPointF) -> Name:
    return Name(
        at=at,
        mark_px=HOUSE_PX,
        long_px=text_size(place.label, PLACE_POINTS),
        short_px=text_size(place.name, PLACE_POINTS),
    )


def house_path(at: QPointF, side: float = HOUSE_PX) -> QPainterPath:
    """A gable: where people are who need service."""
    half = side / 2
    path = QPainterPath()
    corners = ((-half, half), (-half, -half * 0.2), (0, -half), (half, -half * 0.2), (half, half))
    path.addPolygon(QPolygonF([at + QPointF(x, y) for x, y in corners]))
    path.closeSubpath()
    return path


def _turned_square(at: QPointF, reach: float) -> QPolygonF:
    return QPolygonF([at + QPointF(*way) * reach for way in ((0, -1), (1, 0), (0, 1), (-1, 0))])
