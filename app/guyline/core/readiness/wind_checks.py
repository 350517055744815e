"""Does the mast stand in the strongest gust to expect?"""

from __future__ import annotations

from guyline.core.plan import Gate, Mast, Site
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
from guyline.core.readiness.wind_load import WindLoad, part_moment_n_m, wind_load

SOURCE = "q = 0.613 v², Cd 1.2 of long round tubes and 2.0 of plates: a published mast data sheet"
CAUTION = (
    "no structural design: shape factors differ by a factor of two between sources, hilltops speed"
    " the wind up 1.3 to 1.7 times, and local codes decide where people pass"
)


def wind_findings(site: Site) -> tuple[Finding, ...]:
    """Whether the mast holds; () while nothing of it is entered, as people answer for it then."""
    if site.mast == Mast():
        return ()
    mast, load = site.mast, wind_load(site)
    missing = (
        *load.missing,
        *(("strongest gust",) if mast.gust_m_s is None else ()),
        *(("what the mast holds",) if not mast.holds_n_m else ()),
    )
    if missing or mast.gust_m_s is None or not mast.holds_n_m:
        return (_unknown(site, missing),)
    return (_judged(site, load, mast.gust_m_s, mast.holds_n_m),)


def _judged(site: Site, load: WindLoad, gust_m_s: float, holds_n_m: float) -> Finding:
    moment = load.moment_n_m(gust_m_s)
    stands = moment <= holds_n_m
    return Finding(
        code=FindingCode.MAST_WIND,
        gate=Gate.SAFETY,
        site_id=site.site_id,
        verdict=Verdict.GO if stands else Verdict.NO_GO,
        quantity="wind on the mast",
        value=moment,
        limit=holds_n_m,
        unit="N m",
        comparison=Comparison.AT_MOST,
        facts=(
            ("gust", f"{gust_m_s:.0f}"),
            ("falls", f"{load.gust_that_turns_it(holds_n_m):.0f}"),
            ("missing", ""),
        ),
        evidence="mast as entered",
        working=Working(
            formula="sum of 0.613 v² Cd A h over mast, antenna and panel, against what it holds",
            inputs=(
                Quantity(name="gust", value=gust_m_s, unit="m/s", source="plan"),
                *(
                    Quantity(
                        name=f"{part.name}: {part.area_m2:.3f} m², Cd {part.drag:g},"
                        f" middle at {part.middle_m:.1f} m",
                        value=part_moment_n_m(part, gust_m_s),
                        unit="N m",
                        source="plan",
                    )
                    for part in load.parts
                ),
                Quantity(name="the mast holds", value=holds_n_m, unit="N m", source="plan"),
            ),
            source=SOURCE,
            confidence=CAUTION,
        ),
        remedy=None
        if stands
        else Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what="guys, ballast or a shorter mast, and somebody who may judge that it holds",
        ),
    )


def _unknown(site: Site, missing: tuple[str, ...]) -> Finding:
    return Finding(
        code=FindingCode.MAST_WIND,
        gate=Gate.SAFETY,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="wind on the mast",
        unit="N m",
        comparison=Comparison.AT_MOST,
        facts=(("gust", ""), ("falls", ""), ("missing", ", ".join(missing))),
        working=Working(
            formula="sum of 0.613 v² Cd A h over mast, antenna and panel, against what it holds",
            inputs=tuple(Quantity(name=name, value=None) for name in missing),
            source=SOURCE,
            confidence=CAUTION,
        ),
        remedy=Remedy(action=RemedyAction.ENTER, site_id=site.site_id, what=", ".join(missing)),
    )
