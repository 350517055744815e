"""How sure a site's power must be, by what the site does for the network."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import SiteFunction


@dataclass(frozen=True, slots=True, kw_only=True)
class Requirement:
    """Limits for GO, and lower ones down to which conditions can make up for it.

    `balance_ratio` is the mean yield of the worst month over the load.
    """

    survival_for_go: float
    survival_with_conditions: float
    days_for_go: float
    days_with_conditions: float
    balance_ratio: float


# Availability 0.99 for critical loads, to which telecom repeaters belong: Ball & Risser 1988,
# quoted in Applied Photovoltaics p. 139. Days: below IEEE 1013's 5 to 7 (7 to 14 critical) days,
# because a mission lasts weeks and not years (our choice). Ratios: IEEE 1562, from memory.
END_POINT_REQUIREMENT = Requirement(
    survival_for_go=0.95,
    survival_with_conditions=0.80,
    days_for_go=3.0,
    days_with_conditions=2.0,
    balance_ratio=1.1,
)
CRITICAL_REQUIREMENT = Requirement(
    survival_for_go=0.99,
    survival_with_conditions=0.80,
    days_for_go=5.0,
    days_with_conditions=2.0,
    balance_ratio=1.3,
)
VISIT_RESERVE = 1.25  # a battery lasts the visit interval with a quarter to spare: our choice
REQUIREMENT_SOURCE = (
    "availability 99 % for critical loads: Ball & Risser 1988 in Applied Photovoltaics p. 139; "
    "days and ratios after IEEE 1013 and IEEE 1562, from memory; shortened for missions of weeks"
)


def requirement_of(function: SiteFunction) -> Requirement:
    """Limits for a site; relays and gateways carry others and count as critical."""
    if function is SiteFunction.END_POINT:
        return END_POINT_REQUIREMENT
    return CRITICAL_REQUIREMENT
