"""Pages as pictures, and the sizes that readers of a PDF see."""

from __future__ import annotations

from PIL import Image
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage, QPainter

from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import PageSize
from guyline.viewmodels.paper.painting import paint_page


def picture(page: Page, size: PageSize, dpi: int) -> QImage:
    image = QImage(
        round(size.width_mm / 25.4 * dpi),
        round(size.height_mm / 25.4 * dpi),
        QImage.Format.Format_Grayscale8,
    )
    image.fill(Qt.GlobalColor.white)
    painter = QPainter(image)
    paint_page(painter, page, dpi / 25.4)
    painter.end()
    return image


def as_pillow(image: QImage) -> Image.Image:
    raw = bytes(image.constBits())
    return Image.frombytes(
        "L", (image.width(), image.height()), raw, "raw", "L", image.bytesPerLine()
    )


# 210 x 297 mm and 8.5 x 11 inches at 72 points an inch, rounded to whole points as Qt writes them
POINTS = {"A4": (595, 842), "Letter": (612, 792)}
