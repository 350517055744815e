"""Marks on paper and blocks of them, in millimetres from the top left."""

from __future__ import annotations

from dataclasses import dataclass, replace

from PySide6.QtGui import QImage, QPainterPath

from guyline.viewmodels.paper.type import Style

HAIR_MM, THIN_MM, MEDIUM_MM, THICK_MM = 0.15, 0.25, 0.5, 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """One line of text; `y_mm` is its top, and the ink stays inside width and height."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    text: str
    style: Style

    def moved(self, dx_mm: float, dy_mm: float) -> Words:
        return Words(  # not by `replace`: most marks are words, and they are moved often
            x_mm=self.x_mm + dx_mm,
            y_mm=self.y_mm + dy_mm,
            width_mm=self.width_mm,
            height_mm=self.height_mm,
            text=self.text,
            style=self.style,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A straight line."""

    x1_mm: float
    y1_mm: float
    x2_mm: float
    y2_mm: float
    pen_mm: float = THIN_MM
    is_dashed: bool = False

    def moved(self, dx_mm: float, dy_mm: float) -> Rule:
        return replace(
            self,
            x1_mm=self.x1_mm + dx_mm,
            y1_mm=self.y1_mm + dy_mm,
            x2_mm=self.x2_mm + dx_mm,
            y2_mm=self.y2_mm + dy_mm,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """A rectangle drawn as a line; the line lies inside it."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    pen_mm: float = THIN_MM

    def moved(self, dx_mm: float, dy_mm: float) -> Frame:
        return replace(self, x_mm=self.x_mm + dx_mm, y_mm=self.y_mm + dy_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """An outline: black inside, hatched inside, or drawn as a line."""

    path: QPainterPath
    pen_mm: float = 0.0
    is_filled: bool = False
    is_hatched: bool = False
    is_dashed: bool = False

    def moved(self, dx_mm: float, dy_mm: float) -> Shape:
        return replace(self, path=self.path.translated(dx_mm, dy_mm))


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """A picture in black and white, stretched over a rectangle."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    image: QImage

    def moved(self, dx_mm: float, dy_mm: float) -> Picture:
        return replace(self, x_mm=self.x_mm + dx_mm, y_mm=self.y_mm + dy_mm)


Mark = Words | Rule | Frame | Shape | Picture


@dataclass(frozen=True, slots=True)
class Block:
    """Marks that belong together and the room they take."""

    width_mm: float
    height_mm: float
    marks: tuple[Mark, ...] = ()

    def moved(self, dx_mm: float, dy_mm: float) -> tuple[Mark, ...]:
        return tuple(mark.moved(dx_mm, dy_mm) for mark in self.marks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """A block on its page."""

    name: str
    x_mm: float
    y_mm: float
    block: Block

    @property
    def right_mm(self) -> float:
        return self.x_mm + self.block.width_mm

    @property
    def bottom_mm(self) -> float:
        return self.y_mm + self.block.height_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """A page ready to be painted."""

    width_mm: float
    height_mm: float
    placed: tuple[Placed, ...]
