"""How far people must stay from the antenna while it transmits, with where that is from."""

from __future__ import annotations

from guyline.core.network.link import eirp_dbm
from guyline.core.plan import Gate, Plan, Site
from guyline.core.radio.exposure import (
    EXPOSURE_CONFIDENCE,
    ExposureDistances,
    exposure_distances,
)
from guyline.core.readiness.finding import Finding, FindingCode, Quantity, Verdict, Working
from guyline.core.units import w_from_dbm
from guyline.errors import InputError


def exposure_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """The distance to keep; () while the radiated power or a limit at the frequency is unknown.

    It says what the sheet prints and judges nothing: whether people can come so near is for the
    crew to see.
    """
    frequency_hz = plan.radio_profile.frequency_hz
    eirp = eirp_dbm(site, frequency_hz)
    if eirp is None:
        return ()
    try:
        distances = exposure_distances(w_from_dbm(eirp), frequency_hz)
    except InputError:
        return ()
    return (
        Finding(
            code=FindingCode.EXPOSURE,
            gate=Gate.RULES,
            site_id=site.site_id,
            verdict=Verdict.GO,
            quantity="distance to keep from the antenna while it transmits",
            value=distances.printed_m,
            unit="m",
            evidence="computed",
            working=_working(eirp, distances),
        ),
    )


def _working(eirp: float, distances: ExposureDistances) -> Working:
    exempt = distances.fcc_exempt_m
    return Working(
        formula=(
            "R = sqrt(2.56 EIRP / (4 π S)), sending all the time over ground that reflects;"
            " the greatest, half as much again, up to half a metre"
        ),
        inputs=(
            Quantity(name="radiated power", value=eirp, unit="dBm EIRP", source="plan"),
            *(
                Quantity(
                    name=f"distance by {rule}",
                    value=distance,
                    unit="m",
                    source=f"confidence {EXPOSURE_CONFIDENCE[rule]}",
                )
                for rule, distance in distances.by_rule_m
            ),
            Quantity(
                name="distance from which no evaluation is asked for",
                value=exempt,
                unit="m",
                source="47 CFR 1.1307(b)(3)(i)(C)",
            ),
        ),
        source="ICNIRP 2020, 47 CFR 1.1310 and 1.1307, Safety Code 6 (2015)",
        confidence="far field; beside a long collinear not exact, hence the rounding up;"
        " other antennas on the mast may need more; local rules come first",
    )
