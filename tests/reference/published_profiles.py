"""Published validation profiles, read where their folder lies beside the checkout."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

FOLDER = Path(__file__).parents[3] / "shared" / "reference" / "data"


def diffraction_profile(number: int) -> tuple[np.ndarray, np.ndarray]:
    """Distance [m] and height [m amsl] of an ITU-R validation path of WP 3K/3M."""
    km, height = np.loadtxt(_path(f"p526_path_{number}.dat")).T
    return km * 1000.0, height


def _path(name: str) -> Path:
    path = FOLDER / name
    if not path.exists():
        pytest.skip(f"the published profile {name} is not beside this checkout")
    return path
