"""Where the shipped files are: in the wheel, or else in the checkout."""

from __future__ import annotations

from importlib.resources import files
from importlib.resources.abc import Traversable
from pathlib import Path

_CHECKOUT = Path(__file__).resolve().parents[3]


def shipped(folder: str) -> Traversable:
    """Return a shipped folder (`resources` or `demo_projects`), for reading only."""
    packaged = files("guyline") / folder
    return packaged if packaged.is_dir() else _CHECKOUT / folder
