"""Does the site, or the way to it, lie in a flood or a fire that somebody mapped?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from guyline.core.plan import Gate, Hazard, LayerKind, Site
from guyline.core.readiness.finding import (
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

HAZARDS = {LayerKind.FLOOD: Hazard.FLOOD_WATER, LayerKind.FIRE: Hazard.FIRE}
"""What the crew is warned of where a layer covers the site."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaLook:
    """What a layer of hazard areas says of a site; None where the layer cannot be read.

    `crosses_way` says that every access track to the site leads through the area; None where
    no track to the site is known.
    """

    kind: LayerKind
    source: str
    covers_site: bool | None
    crosses_way: bool | None = None
    area: str = ""
    """Its name, if it has one."""


def hazard_findings(site: Site, looks: Sequence[AreaLook]) -> tuple[Finding, ...]:
    """One finding for each layer that was looked at; none where the plan has no such layer.

    A site in a mapped flood or fire is never GO by itself: somebody must own how the crew gets
    there and back.
    """
    return tuple(_finding(site, look) for look in looks if site.position is not None)


def _finding(site: Site, look: AreaLook) -> Finding:
    uncertainty = None if site.position is None else site.position.uncertainty_m
    finding = partial(
        Finding,
        code=FindingCode.HAZARD_AREA,
        gate=Gate.SAFETY,
        site_id=site.site_id,
        quantity=f"{look.kind} area at the site",
        evidence=look.source,
        working=Working(
            formula="site inside an area, or nearer to it than its position is uncertain;"
            " no access track that stays outside",
            inputs=(
                Quantity(name="areas", value=look.area or "without a name", source=look.source),
                Quantity(
                    name="uncertainty of the position", value=uncertainty, unit="m", source="plan"
                ),
            ),
            source="areas: whoever drew them",
            confidence="water and fire move: look at the day of the file",
        ),
    )
    facts = (
        ("kind", str(look.kind)),
        ("area", look.area),
        ("source", look.source),
        ("where", _where(look)),
    )
    if look.covers_site is None:
        return finding(
            verdict=Verdict.NOT_ASSESSED,
            facts=facts,
            remedy=_remedy(site, RemedyAction.OBTAIN, f"the {look.kind} areas: {look.source}"),
        )
    if not look.covers_site and not look.crosses_way:
        return finding(verdict=Verdict.GO, facts=facts)
    return finding(verdict=Verdict.CONDITIONS, facts=facts, remedy=_way_out(site, look))


def _where(look: AreaLook) -> str:
    if look.covers_site is None:
        return "unknown"
    if look.covers_site:
        return "site"
    return "way" if look.crosses_way else "clear"


def _way_out(site: Site, look: AreaLook) -> Remedy:
    hazard = HAZARDS[look.kind]
    if hazard not in site.hazards:
        return _remedy(site, RemedyAction.ENTER, f"the hazard: {hazard}")
    if look.covers_site:
        return _remedy(site, RemedyAction.MOVE, f"the site out of the {look.kind} area")
    return _remedy(site, RemedyAction.OBTAIN, "a way to the site that stays outside")


def _remedy(site: Site, action: RemedyAction, what: str) -> Remedy:
    return Remedy(action=action, site_id=site.site_id, what=what)
