"""A short digest of a page's content, by which a changed sheet is told from an unchanged one."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

from guyline.core.network.coverage import Coverage
from guyline.core.network.path import PathAssessment
from guyline.services.documents.content import Imprint, MapExtract
from guyline.services.map_shapes import MapShape

_TOLD_IN_WORDS = (Imprint, PathAssessment, MapExtract, Coverage, MapShape)
"""Time of printing; terrain, coverage and areas, of which the page says all in words."""

LENGTH = 8  # our choice: 32 bits tell a handful of revisions apart, and can be read out


def content_digest(page: object) -> str:
    """Eight hexadecimal digits that change with anything printed but the imprint."""
    return hashlib.sha256("\n".join(_lines(page)).encode()).hexdigest()[:LENGTH]


def _lines(value: Any) -> Iterator[str]:
    if isinstance(value, _TOLD_IN_WORDS):
        return
    if is_dataclass(value):
        for field in fields(value):
            yield f".{field.name}"
            yield from _lines(getattr(value, field.name))
    elif isinstance(value, tuple):
        yield f"({len(value)}"
        for item in value:
            yield from _lines(item)
    else:
        yield repr(value)
