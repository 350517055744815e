"""What a gust does to a mast with its antenna and panel: a handbook estimate, no design."""

from __future__ import annotations

import math
from dataclasses import dataclass

from guyline.core.plan import Site

AIR_FACTOR = 0.613  # half the density of air at 15 degrees and sea level, kg/m3
DRAG_ROUND = 1.2  # long round tube across the wind
DRAG_FLAT = 2.0  # plate across the wind
PANEL_W_PER_M2 = 170.0  # as the table of panels counts area


@dataclass(frozen=True, slots=True, kw_only=True)
class WindPart:
    """A thing that stands in the wind; `middle_m` is the height of its middle."""

    name: str
    area_m2: float
    drag: float
    middle_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WindLoad:
    """Parts in the wind, or the names of what must be known first."""

    parts: tuple[WindPart, ...] = ()
    missing: tuple[str, ...] = ()

    def moment_n_m(self, gust_m_s: float) -> float:
        """Moment of all parts about the foot of the mast. [N m]"""
        return math.fsum(part_moment_n_m(part, gust_m_s) for part in self.parts)

    def gust_that_turns_it(self, holds_n_m: float) -> float:
        """Gust whose moment is all that the mast holds. [m/s]"""
        return math.sqrt(holds_n_m / self.moment_n_m(1.0))


def gust_pressure_pa(gust_m_s: float) -> float:
    r"""Pressure of the wind. [Pa]

    .. math:: q = 0.613 v^2

    References
    ----------
    .. [1] A published mast data sheet; in other units 0.00256 v^2 psf with v in mph.
    """
    return AIR_FACTOR * gust_m_s**2


def wind_force_n(area_m2: float, drag: float, gust_m_s: float) -> float:
    """Force q Cd A of the wind on a part. [N]"""
    return gust_pressure_pa(gust_m_s) * drag * area_m2


def part_moment_n_m(part: WindPart, gust_m_s: float) -> float:
    """Moment of a part about the foot of the mast, F h. [N m]"""
    return wind_force_n(part.area_m2, part.drag, gust_m_s) * part.middle_m


def wind_load(site: Site) -> WindLoad:
    """What stands in the wind at a site.

    Notes
    -----
    Mast and antenna are tubes across the wind, the panel is a plate flat on: the worst side.
    The area of the panel follows from its rated power. Ropes, feeder and ice are left out.
    """
    mast = site.mast
    known = {
        "length of the mast": mast.length_m,
        "diameter of the mast": mast.diameter_m,
        "antenna height": site.antenna_agl_m,
        "length of the antenna": mast.antenna_length_m,
        "diameter of the antenna": mast.antenna_diameter_m,
    }
    if mast.panel_agl_m is not None:
        known["panel power"] = None if site.power.panel is None else site.power.panel.stc_w
    missing = tuple(name for name, value in known.items() if value is None)
    if missing:
        return WindLoad(missing=missing)
    assert mast.length_m is not None
    assert mast.diameter_m is not None
    assert site.antenna_agl_m is not None
    assert mast.antenna_length_m is not None
    assert mast.antenna_diameter_m is not None
    parts = [
        WindPart(
            name="mast",
            area_m2=mast.length_m * mast.diameter_m,
            drag=DRAG_ROUND,
            middle_m=mast.length_m / 2.0,
        ),
        WindPart(
            name="antenna",
            area_m2=mast.antenna_length_m * mast.antenna_diameter_m,
            drag=DRAG_ROUND,
            middle_m=site.antenna_agl_m,
        ),
    ]
    if mast.panel_agl_m is not None:
        assert site.power.panel is not None
        assert site.power.panel.stc_w is not None
        area = site.power.panel.stc_w / PANEL_W_PER_M2
        parts.append(
            WindPart(name="panel", area_m2=area, drag=DRAG_FLAT, middle_m=mast.panel_agl_m)
        )
    return WindLoad(parts=tuple(parts))
