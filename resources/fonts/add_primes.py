"""Give a released font the signs for minutes and seconds of arc, which positions are printed with.

    python resources/fonts/add_primes.py RELEASED.ttf OUT.ttf

Needs fonttools, which the program itself does not. A sign is the straight quotation mark of the
same font, leaning as the trade writes it; nothing else is touched.
"""

from __future__ import annotations

import sys

from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.transformPen import TransformPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

LEAN = 0.22  # run over rise, our choice: about that of the face's own italic
SIGNS = {0x2032: ("minute", "quotesingle"), 0x2033: ("second", "quotedbl")}


def add_signs(font: TTFont) -> None:
    letters = font.getGlyphSet()
    for code, (name, model) in SIGNS.items():
        pen = TTGlyphPen(letters)
        flat = DecomposingRecordingPen(letters)
        letters[model].draw(flat)
        flat.replay(TransformPen(pen, (1.0, 0.0, LEAN, 1.0, -LEAN * foot_of(flat), 0.0)))
        width, _ = font["hmtx"][model]
        font["glyf"][name] = pen.glyph()  # appends the name to the order of glyphs
        font["glyf"][name].recalcBounds(font["glyf"])
        font["hmtx"][name] = (width, font["glyf"][name].xMin)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[code] = name


def foot_of(drawn: DecomposingRecordingPen) -> float:
    """Height of the lowest point drawn."""
    return min(y for _, points in drawn.value for _, y in points)


def main(released: str, out: str) -> None:
    font = TTFont(released)
    add_signs(font)
    font.save(out)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
