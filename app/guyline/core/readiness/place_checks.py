"""Is it known where the site is?"""

from __future__ import annotations

from functools import partial

from guyline.core.plan import (
    Gate,
    Plan,
    Site,
)
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

MAX_UNCERTAINTY_M = 50.0  # our choice: beyond it the profile may belong to another ridge
FREEBOARD_M = 0.5  # our choice, after common practice of 0.3 to 0.6 m above a flood level
MAX_HEIGHT_DIFFERENCE_M = 15.0  # our choice: a handheld receiver's vertical error is 10 to 20 m


def place_findings(plan: Plan, site: Site, terrain_amsl_m: float | None) -> tuple[Finding, ...]:
    """Findings about position and ground height.

    Parameters
    ----------
    terrain_amsl_m : float or None
        Height of the terrain data at the position, None where it has none.
    """
    if site.position is None:
        return (
            Finding(
                code=FindingCode.POSITION,
                gate=Gate.RADIO,
                site_id=site.site_id,
                verdict=Verdict.NOT_ASSESSED,
                quantity="position",
                remedy=Remedy(
                    action=RemedyAction.ENTER, site_id=site.site_id, what="the position"
                ),
            ),
        )
    return (_position(site), _ground(site, terrain_amsl_m), *_flood(site, terrain_amsl_m))


def _position(site: Site) -> Finding:
    assert site.position is not None
    uncertainty = site.position.uncertainty_m
    good = uncertainty is not None and uncertainty <= MAX_UNCERTAINTY_M
    return Finding(
        code=FindingCode.POSITION_UNCERTAINTY,
        gate=Gate.RADIO,
        site_id=site.site_id,
        verdict=Verdict.GO if good else Verdict.CONDITIONS,
        quantity="uncertainty of the position",
        value=uncertainty,
        limit=MAX_UNCERTAINTY_M,
        unit="m",
        comparison=Comparison.AT_MOST,
        evidence=site.position.source,
        working=Working(
            formula="as entered with the position",
            inputs=(
                Quantity(name="latitude", value=site.position.lat_deg, unit="°", source="plan"),
                Quantity(name="longitude", value=site.position.lon_deg, unit="°", source="plan"),
            ),
            source="limit: our choice",
            confidence="the coordinate must be the mast, not the gate",
        ),
        remedy=None
        if good
        else Remedy(
            action=RemedyAction.MEASURE, site_id=site.site_id, what="the position at the mast"
        ),
    )


def _flood(site: Site, terrain_amsl_m: float | None) -> tuple[Finding, ...]:
    """How far the ground is above the water; () where no flood level is entered."""
    level = site.flood_amsl_m
    if level is None:
        return ()
    ground = site.ground_amsl_m if terrain_amsl_m is None else terrain_amsl_m
    above = None if ground is None else ground - level
    return (
        Finding(
            code=FindingCode.FLOOD_LEVEL,
            gate=Gate.SAFETY,
            site_id=site.site_id,
            verdict=_dry(above),
            quantity="ground above the flood level",
            value=above,
            limit=FREEBOARD_M,
            unit="m",
            evidence="flood level as entered",
            working=Working(
                formula="ground - flood level",
                inputs=(
                    Quantity(name="ground", value=ground, unit="m amsl", source="terrain"),
                    Quantity(name="flood level", value=level, unit="m amsl", source="plan"),
                ),
                source=f"limit of {FREEBOARD_M} m: our choice, after common practice",
                confidence="terrain data may be off by more than that, and water by waves",
            ),
            remedy=None
            if above is not None and above >= FREEBOARD_M
            else Remedy(
                action=RemedyAction.MOVE,
                site_id=site.site_id,
                what="the site to higher ground, with battery and box well above the water",
            ),
        ),
    )


def _dry(above_m: float | None) -> Verdict:
    if above_m is None:
        return Verdict.NOT_ASSESSED
    if above_m < 0.0:
        return Verdict.NO_GO
    return Verdict.GO if above_m >= FREEBOARD_M else Verdict.CONDITIONS


def _ground(site: Site, terrain_amsl_m: float | None) -> Finding:
    entered = site.ground_amsl_m
    finding = partial(
        Finding,
        code=FindingCode.GROUND_HEIGHT,
        gate=Gate.RADIO,
        site_id=site.site_id,
        unit="m",
        comparison=Comparison.AT_MOST,
    )
    inputs = (
        Quantity(name="terrain data", value=terrain_amsl_m, unit="m amsl", source="terrain"),
        Quantity(name="entered", value=entered, unit="m amsl", source=site.ground_source),
    )
    if terrain_amsl_m is None:
        return finding(
            verdict=Verdict.NOT_ASSESSED,
            quantity="ground height",
            working=Working(formula="none: no terrain data at the site", inputs=inputs),
            remedy=Remedy(
                action=RemedyAction.OBTAIN, site_id=site.site_id, what="terrain data here"
            ),
        )
    if entered is None:
        return finding(
            verdict=Verdict.GO,
            quantity="ground height",
            value=None,
            facts=(("ground", f"{terrain_amsl_m:.0f}"),),
            evidence="terrain data",
            working=Working(formula="terrain data at the position", inputs=inputs),
        )
    difference = abs(entered - terrain_amsl_m)
    fits = difference <= MAX_HEIGHT_DIFFERENCE_M
    return finding(
        verdict=Verdict.GO if fits else Verdict.CONDITIONS,
        quantity="entered height against terrain",
        value=difference,
        limit=MAX_HEIGHT_DIFFERENCE_M,
        facts=(("ground", f"{terrain_amsl_m:.0f}"), ("entered", f"{entered:.0f}")),
        evidence=site.ground_source or "entered",
        working=Working(
            formula="|entered - terrain data|",
            inputs=inputs,
            source="limit: our choice",
            confidence="a large difference often means a wrong position or another datum",
        ),
        remedy=None
        if fits
        else Remedy(
            action=RemedyAction.MEASURE,
            site_id=site.site_id,
            what="the height at the mast, and note its datum",
        ),
    )
