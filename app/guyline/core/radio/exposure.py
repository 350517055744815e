"""How far people must stay from a transmitting antenna.

The formulae are those of the far field; beside a long collinear they do not describe the field,
so the distance to print is half as much again and rounded up.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import ceil, pi, sqrt

from guyline.core.units import EIRP_OVER_ERP_DB, wavelength_m
from guyline.errors import InputError

GROUND_REFLECTION_POWER = (
    2.56  # field 1.6 times as strong over ground: OET bulletin 65, from memory
)
PRINTED_SAFETY_FACTOR = 1.5  # judgement: the near field of an antenna of 1 to 2 m
PRINTED_STEP_M = 0.5


class ExposureRule(StrEnum):
    """Limits for people who do not know of the field; the value is what people read."""

    ICNIRP = "ICNIRP 2020, general public, whole body"
    ICNIRP_LOCAL = "ICNIRP 2020, general public, local"
    FCC = "47 CFR 1.1310, uncontrolled"
    CANADA = "Safety Code 6, uncontrolled"


EXPOSURE_CONFIDENCE = {
    ExposureRule.ICNIRP: "C",
    ExposureRule.ICNIRP_LOCAL: "A",
    ExposureRule.FCC: "B",
    ExposureRule.CANADA: "C",
}
"""A read, B second-hand, C from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposureDistances:
    """Distances at which limits are met; None where a rule does not apply.

    `by_rule_m` counts the reflection of the ground; `fcc_exempt_m` is the distance from which
    47 CFR 1.1307(b)(3) asks for no evaluation; `printed_m` is what goes on the sheet.
    """

    by_rule_m: tuple[tuple[ExposureRule, float], ...]
    fcc_exempt_m: float | None
    printed_m: float


def exposure_limit_w_m2(rule: ExposureRule, frequency_hz: float) -> float:
    """Power density that a rule allows, in W/m².

    Parameters
    ----------
    rule : ExposureRule
        Whose limit.
    frequency_hz : float
        400 MHz to 1.5 GHz. [Hz]

    References
    ----------
    .. [1] ICNIRP guidelines 2020 (100 kHz to 300 GHz), general public, 400 to 2000 MHz.
    .. [2] 47 CFR 1.1310(e), table 1, 300 to 1500 MHz.
    .. [3] Health Canada Safety Code 6 (2015), 300 MHz to 6 GHz.
    """
    if not 400e6 <= frequency_hz <= 1.5e9:
        raise InputError(
            f"Exposure limits at {frequency_hz / 1e6:g} MHz.",
            advice="The limits entered hold from 400 to 1500 MHz.",
        )
    f_mhz = frequency_hz / 1e6
    limits: dict[ExposureRule, float] = {
        ExposureRule.ICNIRP: f_mhz / 200.0,
        ExposureRule.ICNIRP_LOCAL: 0.058 * f_mhz**0.86,
        ExposureRule.FCC: 10.0 * f_mhz / 1500.0,  # f/1500 mW/cm²
        ExposureRule.CANADA: 0.02619 * f_mhz**0.6834,
    }
    return limits[rule]


def exposure_distance_m(
    eirp_w: float,
    limit_w_m2: float,
    duty_fraction: float = 1.0,
    *,
    with_ground_reflection: bool = False,
) -> float:
    r"""Distance at which the mean power density of an antenna falls to a limit, in m.

    .. math:: R = \sqrt{q\, \mathrm{EIRP}\, \delta / (4 \pi S)}

    with q = 2.56 where the ground reflects.

    Parameters
    ----------
    eirp_w : float
        [W]
    limit_w_m2 : float
        [W/m²]
    duty_fraction : float
        Part of the averaging time in which it sends, 0 to 1.
    with_ground_reflection : bool
        Whether to count the wave from the ground in full.
    """
    if not eirp_w >= 0.0 or not limit_w_m2 > 0.0 or not 0.0 <= duty_fraction <= 1.0:
        raise InputError(
            f"Exposure from {eirp_w:g} W at {duty_fraction:g} of the time.",
            advice="Enter a power of 0 W or more, a limit above 0 and a duty from 0 to 1.",
        )
    reflection = GROUND_REFLECTION_POWER if with_ground_reflection else 1.0
    return sqrt(reflection * eirp_w * duty_fraction / (4.0 * pi * limit_w_m2))


def fcc_exempt_distance_m(eirp_w: float, frequency_hz: float) -> float | None:
    r"""Distance from which no evaluation is asked for; None within :math:`\lambda/2\pi`, in m.

    .. math:: \mathrm{ERP} \le 0.0128\, R^2 f, \quad f \text{ in MHz}

    References
    ----------
    .. [1] 47 CFR 1.1307(b)(3)(i)(C), 300 to 1500 MHz.
    """
    erp_w = eirp_w / 10.0 ** (EIRP_OVER_ERP_DB / 10.0)
    distance = sqrt(erp_w / (0.0128 * frequency_hz / 1e6))
    return distance if distance >= wavelength_m(frequency_hz) / (2.0 * pi) else None


def exposure_distances(eirp_w: float, frequency_hz: float) -> ExposureDistances:
    """Distances to keep from an antenna that sends all the time.

    Parameters
    ----------
    eirp_w : float
        [W]
    frequency_hz : float
        400 MHz to 1.5 GHz. [Hz]
    """
    by_rule = tuple(
        (
            rule,
            exposure_distance_m(
                eirp_w, exposure_limit_w_m2(rule, frequency_hz), with_ground_reflection=True
            ),
        )
        for rule in ExposureRule
    )
    exempt = fcc_exempt_distance_m(eirp_w, frequency_hz)
    farthest = max(exempt or 0.0, *(distance for _, distance in by_rule))
    steps = max(1, ceil(PRINTED_SAFETY_FACTOR * farthest / PRINTED_STEP_M))
    return ExposureDistances(
        by_rule_m=by_rule, fcc_exempt_m=exempt, printed_m=steps * PRINTED_STEP_M
    )
