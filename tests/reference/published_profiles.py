"""Published validation profiles, read where their folder lies beside the checkout."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest


@dataclass(frozen=True, eq=False)
class PublishedPath:
    """A validation profile of P.1812 with its climate and its published results.

    `results` holds frequency [Hz], heights [m], polarisation, time [%], field strength
    [dB(µV/m) for 1 kW ERP] and basic transmission loss [dB].
    """

    distance_m: np.ndarray
    ground_amsl_m: np.ndarray
    clutter_m: np.ndarray
    zone: np.ndarray
    delta_n: float
    n0: float
    latitude_deg: float
    results: tuple[tuple[float, float, float, str, float, float, float], ...]


def _typed(rows: str) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    km, ground, cover = np.array([[float(x) for x in row.split()] for row in rows.split(",")]).T
    return km * 1000.0, ground, cover


# b2iseac_rural_land_10km of the ITU-R validation set for P.1812, as published with the reference
# implementation (eeveetza/Py1812, tests/validation_profiles; free use with this notice):
# distance [km], height [m amsl], height of the cover [m].
_TEN_KM = _typed(
    "0 754.4 10, 0.2 754.4 10, 0.4 729.9 10, 0.6 685.3 10, 0.8 634.3 10, 1 610.3 10, 1.2 601 10,"
    "1.4 591.7 10, 1.6 530.4 10, 1.8 455.9 10, 2 385.1 10, 2.5 373.4 10, 3 358.5 0, 3.5 309 0,"
    "4 316.6 15, 4.5 335.3 10, 5 408.1 10, 5.5 532.7 10, 6 556.3 10, 6.5 556.3 10, 7 488.2 10,"
    "7.5 367.7 10, 8 304.8 0, 8.5 292.6 0, 9 238.3 0, 9.5 265.1 0, 10 250.3 0"
)
TEN_KM = PublishedPath(
    *_TEN_KM,
    zone=np.full(27, 4),
    delta_n=45.0,
    n0=326.079979,
    latitude_deg=(53.1833333333 + 53.22682124525) / 2,
    results=(
        (95.3e6, 60.0, 7.0, "horizontal", 1.0, 61.29427537, 117.64758264),
        (95.3e6, 60.0, 7.0, "horizontal", 10.0, 59.64069691, 119.30116110),
        (95.3e6, 60.0, 7.0, "horizontal", 50.0, 58.45100570, 120.49085231),
    ),
)

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


def p1812_path(name: str) -> PublishedPath:
    """Validation profile of P.1812 by its published name."""
    lines = _path(f"p1812_{name}.csv").read_text(encoding="utf-8").splitlines()
    at = _line(lines, "Number of Points")
    count = int(lines[at].split(",")[1])
    rows = [[float(x) for x in line.split(",")] for line in lines[at + 1 : at + 1 + count]]
    km, ground, _, cover, zone = np.array(rows).T
    latitudes = [float(lines[_line(lines, f"{end} LAT")].split(",")[1]) for end in ("Tx", "Rx")]
    return PublishedPath(
        km * 1000.0,
        ground,
        cover,
        zone.astype(int),
        delta_n=float(lines[_line(lines, "Average annual values dN")].split(",")[1]),
        n0=float(lines[_line(lines, "Average annual sea-level")].split(",")[1]),
        latitude_deg=sum(latitudes) / 2,
        results=tuple(
            _result(line.split(","))
            for line in lines[_line(lines, "{Begin of Measurements}") + 1 :]
            if line[:1].isdigit()
        ),
    )


def _line(lines: list[str], beginning: str) -> int:
    return next(i for i, line in enumerate(lines) if line.startswith(beginning))


def _result(fields: list[str]) -> tuple[float, float, float, str, float, float, float]:
    polarisation = {"1": "horizontal", "2": "vertical"}[fields[4]]
    numbers = [float(fields[i]) for i in (0, 1, 3, 14, 16, 17)]
    return (numbers[0] * 1e6, *numbers[1:3], polarisation, *numbers[3:])
