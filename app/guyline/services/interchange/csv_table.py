"""A table of text from a spreadsheet, whatever its separator, decimal sign and encoding."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass

from guyline.errors import InputError
from guyline.services.interchange.place import MOST_PLACES, check_size, clean

MOST_COLUMNS = 100
SEPARATORS = ",;\t|"
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")


@dataclass(frozen=True, slots=True, kw_only=True)
class CsvTable:
    """Cells as text; `header` is empty where the first row already holds values."""

    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    separator: str
    decimal_comma: bool
    notes: tuple[str, ...] = ()

    @property
    def width(self) -> int:
        return max((len(row) for row in (self.header, *self.rows)), default=0)


def read_table(
    data: bytes, *, separator: str | None = None, decimal_comma: bool | None = None
) -> CsvTable:
    """Return the table that a CSV file holds; separator and decimal sign are guessed if None.

    Raises
    ------
    InputError
        It is no text, empty, or too large.
    """
    check_size(data)
    text, notes = _decoded(data)
    try:
        separator = separator or _separator(text)
        rows = _rows(text, separator)
    except csv.Error as error:  # a cell beyond 131,072 characters
        raise InputError(
            f"The table cannot be read: {error}.", advice="Export it again as CSV."
        ) from error
    if not rows:
        raise InputError("The table is empty.", advice="Export it again with its places.")
    header, body = (rows[0], rows[1:]) if _is_header(rows[0]) else ((), rows)
    return CsvTable(
        header=header,
        rows=tuple(body),
        separator=separator,
        decimal_comma=(
            _has_decimal_commas(body, separator) if decimal_comma is None else decimal_comma
        ),
        notes=notes,
    )


def defused(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula: an apostrophe goes before it."""
    return f"'{text}" if text.startswith(_FORMULA) else text


def fused(text: str) -> str:
    """Return a text without the apostrophe that kept it from being a formula."""
    return text[1:] if text.startswith("'") and text[1:].startswith(_FORMULA) else text


def number(text: str, *, decimal_comma: bool) -> float | None:
    """Return the number of a cell, None where the cell is empty.

    Raises
    ------
    ValueError
        It holds something else.
    """
    plain = text.strip().replace("−", "-").replace("\u00a0", "")
    if not plain:
        return None
    value = float(plain.replace(",", ".") if decimal_comma else plain)
    if not abs(value) < 1e12:
        raise ValueError(f"{text} is no number")
    return value


def text_of(data: bytes) -> str:
    """Return the text of a file whatever its encoding.

    Raises
    ------
    InputError
        It is no text, or too large.
    """
    check_size(data)
    return _decoded(data)[0]


def _decoded(data: bytes) -> tuple[str, tuple[str, ...]]:
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return _strictly(data, "utf-16"), ()
    if b"\0" in data[:10_000]:
        raise InputError(
            "The file is no text: a spreadsheet's own format cannot be read here.",
            advice="Save it as CSV first.",
        )
    try:
        return data.decode("utf-8-sig"), ()
    except UnicodeDecodeError:
        note = "The letters are of an older encoding: check names with accents."
        return data.decode("cp1252", errors="replace"), (note,)


def _strictly(data: bytes, encoding: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise InputError(
            "The file is cut off in the middle of a letter.", advice="Copy it again."
        ) from error


def _separator(text: str) -> str:
    """Return the sign that splits most of the first lines into equally many cells."""
    lines = [line for line in text.splitlines()[:20] if line.strip()]
    scores = {}
    for sign in SEPARATORS:
        counts = Counter(len(row) for row in csv.reader(lines, delimiter=sign))
        width, times = counts.most_common(1)[0] if counts else (1, 0)
        scores[sign] = times if width > 1 else 0
    # a decimal comma splits too, but not where another sign does
    order = sorted(SEPARATORS, key=lambda sign: (-scores[sign], sign == ","))
    return order[0] if scores[order[0]] else ","


def _rows(text: str, separator: str) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    for row in csv.reader(io.StringIO(text, newline=""), delimiter=separator):
        cells = tuple(fused(clean(cell)) for cell in row)
        if not any(cells):
            continue
        if len(cells) > MOST_COLUMNS or len(rows) > MOST_PLACES:
            raise InputError(
                f"The table has more than {MOST_PLACES:,} rows or {MOST_COLUMNS} columns.",
                advice="Cut it down to the places that matter.",
            )
        rows.append(cells)
    return rows


def _is_header(row: tuple[str, ...]) -> bool:
    return not any(_is_number(cell) for cell in row)


def _is_number(cell: str) -> bool:
    try:
        return number(cell, decimal_comma=True) is not None
    except ValueError:
        return False


def _has_decimal_commas(rows: list[tuple[str, ...]], separator: str) -> bool:
    if separator == ",":
        quoted = [cell for row in rows for cell in row if "," in cell]
        return any(_is_number(cell) for cell in quoted)
    cells = [cell for row in rows for cell in row if _is_number(cell)]
    return any("," in cell for cell in cells) and not any("." in cell for cell in cells)
