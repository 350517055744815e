"""Does every link of the site work, in both directions, with the margin the plan asks for?"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from guyline.core.network.link import LinkAssessment, assess_link
from guyline.core.network.path import CLEAR_RATIO, PathAssessment, WorstPoint
from guyline.core.network.readings import is_proven, link_works
from guyline.core.plan import (
    Gate,
    Plan,
    Site,
    SiteId,
)
from guyline.core.radio.feeder_choice import AT_ANTENNA, compare_mounting
from guyline.core.radio.link_budget import Direction, LinkBudget
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
from guyline.core.readiness.reading_checks import reading_findings

LEAST_PROBABILITY = 0.9  # our choice; a margin of 10 dB over a clear path gives about 0.999
HIGHEST_RAISE_M = 20  # our choice: beyond it a temporary mast is another kind of job


def link_findings(plan: Plan, site: Site, links: Iterable[LinkAssessment]) -> tuple[Finding, ...]:
    """Findings about the links that end at a site.

    A link below its margin is NO-GO for the end that has no other working link; an end that
    still reaches the network some other way carries it as a condition. Where signed readings
    prove a link both ways, they stand in for whatever the computation leaves open.
    """
    links = tuple(links)
    working = {link.link.ends for link in links if link_works(plan, link)}
    findings = tuple(
        f for link in links for f in _of_link(plan, site, link, bool(working - {link.link.ends}))
    )
    return findings or (_no_link(site),)


def _works(plan: Plan, link: LinkAssessment) -> bool:
    return link.margin_db is not None and link.margin_db >= plan.radio_profile.required_margin_db


def _no_link(site: Site) -> Finding:
    return Finding(
        code=FindingCode.NO_LINK,
        gate=Gate.RADIO,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="links to prove",
        value=0.0,
        limit=1.0,
        remedy=Remedy(
            action=RemedyAction.ENTER, site_id=site.site_id, what="a link to another site"
        ),
    )


def _of_link(plan: Plan, site: Site, link: LinkAssessment, has_other: bool) -> tuple[Finding, ...]:
    read = reading_findings(plan, site, link, has_other)
    computed = _computed(plan, site, link, has_other)
    if is_proven(plan, link):
        computed = tuple(f for f in computed if f.verdict is Verdict.GO)
    return (*computed, *read)


def _computed(
    plan: Plan, site: Site, link: LinkAssessment, has_other: bool
) -> tuple[Finding, ...]:
    far_id = link.link.other(site.site_id)
    if link.missing:
        return (_inputs(site, far_id, link),)
    if link.path is None or link.path.void_ranges_m:
        return (_terrain(site, far_id, link),)
    found = (_margin(plan, site, far_id, link, has_other), _probability(site, far_id, link))
    if link.path.worst is None:  # so near that the data has nothing between them
        return found
    return (*found, _clearance(site, far_id, link, link.path.worst))


def _inputs(site: Site, far_id: SiteId, link: LinkAssessment) -> Finding:
    own = [name for site_id, name in link.missing if site_id == site.site_id]
    theirs = [f"{name} of {site_id}" for site_id, name in link.missing if site_id != site.site_id]
    names = ", ".join(own + theirs)
    return Finding(
        code=FindingCode.LINK_INPUTS,
        gate=Gate.RADIO,
        site_id=site.site_id,
        far_id=far_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="link margin",
        unit="dB",
        facts=(("missing", names),),
        working=Working(
            formula="no budget without these values",
            inputs=tuple(
                Quantity(name=f"{name} of {site_id}", value=None) for site_id, name in link.missing
            ),
        ),
        remedy=Remedy(action=RemedyAction.ENTER, site_id=site.site_id, what=names),
    )


def _terrain(site: Site, far_id: SiteId, link: LinkAssessment) -> Finding:
    voids = () if link.path is None else link.path.void_ranges_m
    stretches = ", ".join(f"km {a / 1000:.1f} to {b / 1000:.1f}" for a, b in voids)
    return Finding(
        code=FindingCode.LINK_TERRAIN,
        gate=Gate.RADIO,
        site_id=site.site_id,
        far_id=far_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="link margin",
        unit="dB",
        facts=(("voids", stretches), ("from", str(link.link.from_id))),
        working=Working(formula="no path loss over ground of unknown height"),
        remedy=Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what="terrain data between both sites",
        ),
    )


def _margin(
    plan: Plan, site: Site, far_id: SiteId, link: LinkAssessment, has_other: bool
) -> Finding:
    assert link.budget is not None
    assert link.path is not None
    margin, required = link.budget.margin_db, plan.radio_profile.required_margin_db
    good = _works(plan, link)
    weaker = weaker_direction(link.budget)
    forward = link.budget.limiting == "forward"
    talker = link.link.from_id if forward else link.link.to_id
    return Finding(
        code=FindingCode.LINK_MARGIN,
        gate=Gate.RADIO,
        site_id=site.site_id,
        far_id=far_id,
        verdict=Verdict.GO if good else Verdict.CONDITIONS if has_other else Verdict.NO_GO,
        quantity="link margin",
        value=margin,
        limit=required,
        unit="dB",
        comparison=Comparison.AT_LEAST,
        facts=(
            ("talker", str(talker)),
            ("listener", str(link.link.other(talker))),
            ("received", f"{weaker.received_dbm:.0f}"),
            ("sensitivity", f"{weaker.sensitivity_dbm:.0f}"),
            ("forward", f"{link.budget.forward.margin_db:.1f}"),
            ("backward", f"{link.budget.backward.margin_db:.1f}"),
        ),
        evidence="computed over " + (link.path.profile.source or "terrain data"),
        working=_budget_working(plan, link, weaker),
        remedy=None if good else raised_antenna(plan, site, far_id, link),
    )


def weaker_direction(budget: LinkBudget) -> Direction:
    return budget.forward if budget.limiting == "forward" else budget.backward


def _budget_working(plan: Plan, link: LinkAssessment, weaker: Direction) -> Working:
    path, profile = link.path, plan.radio_profile
    assert path is not None
    return Working(
        formula=(
            "margin = transmit power - feeder + gain - path loss + gain - feeder - sensitivity;"
            " sensitivity = -174 + 10 log BW + NF + SNR needed;"
            " path loss = free space + delta-Bullington"
        ),
        inputs=(
            Quantity(name="transmit power", value=weaker.tx_power_dbm, unit="dBm", source="plan"),
            Quantity(
                name="feeder, sending end",
                value=weaker.tx_feeder_loss_db,
                unit="dB",
                source="plan",
            ),
            Quantity(
                name="antenna gain toward the far end",
                value=weaker.tx_gain_dbi,
                unit="dBi",
                source="pattern, ITU-R F.1336",
            ),
            Quantity(name="free space loss", value=path.free_space_db, unit="dB", source="P.525"),
            Quantity(
                name="diffraction loss",
                value=path.diffraction_db,
                unit="dB",
                source="P.1812, delta-Bullington at the median Earth radius",
            ),
            *_clutter_part(path),
            *(
                Quantity(name=term.name, value=term.loss_db, unit="dB", source=term.source)
                for term in link.near_terms + link.far_terms
            ),
            *_model_difference(link),
            *_radio_at_antenna(plan, link),
            Quantity(
                name="antenna gain of the listening end",
                value=weaker.rx_gain_dbi,
                unit="dBi",
                source="pattern, ITU-R F.1336",
            ),
            Quantity(
                name="feeder, listening end",
                value=weaker.rx_feeder_loss_db,
                unit="dB",
                source="plan",
            ),
            Quantity(name="received level", value=weaker.received_dbm, unit="dBm"),
            Quantity(name="sensitivity", value=weaker.sensitivity_dbm, unit="dBm"),
            Quantity(
                name="bandwidth", value=profile.bandwidth_hz / 1e3, unit="kHz", source="plan"
            ),
            Quantity(
                name="spreading factor", value=float(profile.spreading_factor), source="plan"
            ),
        ),
        source="Rec. ITU-R P.525, P.526, P.1812; SNR by spreading factor from transceiver data",
        confidence=("clear paths: about 2 dB; obstructed paths: about 8 dB, verify on site"),
    )


def _clutter_part(path: PathAssessment) -> tuple[Quantity, ...]:
    if not path.has_clutter:
        return ()
    return (
        Quantity(
            name="of it for trees and houses on the way",
            value=path.clutter_db,
            unit="dB",
            source="land-cover map and bands of the plan, heights of P.1812 table 2",
        ),
    )


SHOWN_DIFFERENCE_DB = 0.5  # our choice: below it both models say the same


def _model_difference(link: LinkAssessment) -> tuple[Quantity, ...]:
    difference = link.model_difference_db
    if difference is None or abs(difference) <= SHOWN_DIFFERENCE_DB:
        return ()
    return (
        Quantity(
            name="the complete P.1812 differs by (not in the margin)",
            value=difference,
            unit="dB",
            source="Rec. ITU-R P.1812 for 50 % of time",
        ),
    )


SHOWN_FEEDER_DB = 1.0  # our choice: less is not worth a climb


def _radio_at_antenna(plan: Plan, link: LinkAssessment) -> tuple[Quantity, ...]:
    """What either end would win without its feeder."""
    profile = plan.radio_profile
    won = []
    for site in (plan.site(link.link.from_id), plan.site(link.link.to_id)):
        power = site.radio.tx_power_dbm
        if power is None or not site.feeder.length_m:
            continue
        both = compare_mounting(site.feeder, AT_ANTENNA, profile.frequency_hz, power)
        if both.gained_db >= SHOWN_FEEDER_DB:
            won.append(
                Quantity(
                    name=f"the radio of {site.site_id} at its antenna would win (not counted)",
                    value=both.gained_db,
                    unit="dB",
                    source="half a metre of 6 mm foam coax in place of the feeder",
                )
            )
    return tuple(won)


def _probability(site: Site, far_id: SiteId, link: LinkAssessment) -> Finding:
    spread = link.spread
    assert spread is not None
    low, high = spread.band_db(90.0)
    likely = spread.probability >= LEAST_PROBABILITY
    return Finding(
        code=FindingCode.LINK_PROBABILITY,
        gate=Gate.RADIO,
        site_id=site.site_id,
        far_id=far_id,
        verdict=Verdict.GO if likely else Verdict.CONDITIONS,
        quantity="probability that the link works",
        value=100.0 * spread.probability,
        limit=100.0 * LEAST_PROBABILITY,
        unit="%",
        comparison=Comparison.AT_LEAST,
        facts=(
            ("low", f"{low:.0f}"),
            ("high", f"{high:.0f}"),
            ("cause", str(spread.shares()[0][0])),
        ),
        evidence="computed",
        working=Working(
            formula="P(margin > 0) of a normal distribution; independent causes add in squares",
            inputs=(
                Quantity(name="margin of the budget", value=spread.nominal_db, unit="dB"),
                Quantity(name="expected margin", value=spread.mean_db, unit="dB"),
                Quantity(name="standard deviation", value=spread.sd_db, unit="dB"),
                *(
                    Quantity(
                        name=f"from {part.cause}",
                        value=part.sd_db,
                        unit="dB",
                        source=part.basis,
                    )
                    for part in spread.spreads
                ),
            ),
            source="Rec. ITU-R P.1812 sections 4.7 to 4.9, P.2108, P.2109 and judgement, as named",
            confidence="calibrated on simulated truth; no field measurements yet",
        ),
        remedy=None
        if likely
        else Remedy(
            action=RemedyAction.MEASURE,
            site_id=site.site_id,
            what=f"the link to {far_id} on site before the crew leaves",
        ),
    )


def _clearance(site: Site, far_id: SiteId, link: LinkAssessment, worst: WorstPoint) -> Finding:
    path = link.path
    assert path is not None
    low = path.worst_low_k
    ratio = worst.clearance_ratio
    clear = ratio >= CLEAR_RATIO
    from_here = worst.distance_m
    if site.site_id != link.link.from_id:
        from_here = path.profile.length_m - worst.distance_m
    verdict = Verdict.GO if clear and not path.inside_data_error else Verdict.CONDITIONS
    return Finding(
        code=FindingCode.LINK_CLEARANCE,
        gate=Gate.RADIO,
        site_id=site.site_id,
        far_id=far_id,
        verdict=verdict,
        quantity="clearance in radii of the first Fresnel zone",
        value=ratio,
        limit=CLEAR_RATIO,
        unit="F1",
        comparison=Comparison.AT_LEAST,
        facts=(
            ("clearance", f"{worst.clearance_m:.0f}"),
            ("missing", f"{worst.height_needed_m:.0f}"),
            ("clutter", f"{worst.clutter_m:.0f}" if worst.clutter_m else ""),
            ("at", f"{from_here / 1000:.1f}"),
            ("inside_error", "yes" if path.inside_data_error else "no"),
            ("low_k_ratio", "" if low is None else f"{low.clearance_ratio:.1f}"),
        ),
        evidence="computed over " + (path.profile.source or "terrain data"),
        working=_clearance_working(link, worst, low),
        remedy=None
        if verdict is Verdict.GO
        else Remedy(
            action=RemedyAction.MEASURE,
            site_id=site.site_id,
            what=f"the link to {far_id} on site before the crew leaves",
        ),
    )


def _clearance_working(link: LinkAssessment, worst: WorstPoint, low: WorstPoint | None) -> Working:
    path = link.path
    assert path is not None
    return Working(
        formula=(
            "(line of sight - ground and what is on it - d1 d2 / (2 k a))"
            " / sqrt(λ d1 d2 / (d1 + d2))"
        ),
        inputs=(
            Quantity(name="distance of the worst point", value=worst.distance_m / 1e3, unit="km"),
            Quantity(name="ground there", value=worst.ground_amsl_m, unit="m amsl"),
            Quantity(name="trees or houses on it", value=worst.clutter_m, unit="m", source="plan"),
            Quantity(name="clearance", value=worst.clearance_m, unit="m"),
            Quantity(name="radius of the first zone", value=worst.fresnel_radius_m, unit="m"),
            Quantity(
                name=f"clearance at k = {path.low_k:.2f}",
                value=None if low is None else low.clearance_ratio,
                unit="F1",
            ),
            Quantity(
                name="height error of the terrain (1 sd)",
                value=path.profile.height_sd_m,
                unit="m",
                source=path.profile.source,
            ),
        ),
        source="Rec. ITU-R P.526; 0.6 F1 at k = 4/3 after P.530 section 2.2.2",
        confidence="height error of the terrain; trees and houses only where map or plan has them",
    )


def raised_antenna(plan: Plan, site: Site, far_id: SiteId, link: LinkAssessment) -> Remedy:
    """Least raise of this site's antenna, in whole metres, that keeps the margin.

    Each height is computed again over the same profile; where none helps, moving is proposed.
    """
    assert link.path is not None
    assert site.antenna_agl_m is not None
    for raise_m in range(1, HIGHEST_RAISE_M + 1):
        agl_m = site.antenna_agl_m + raise_m
        changed = plan.with_site(replace(site, antenna_agl_m=agl_m))
        again = assess_link(
            changed,
            link.link,
            link.path.profile,
            link.distance_m,
            link.azimuth_deg,
            link.back_azimuth_deg,
        )
        if (
            again.margin_db is not None
            and again.margin_db >= plan.radio_profile.required_margin_db
        ):
            return Remedy(
                action=RemedyAction.RAISE_ANTENNA, site_id=site.site_id, value=agl_m, unit="m"
            )
    return Remedy(
        action=RemedyAction.MOVE,
        site_id=site.site_id,
        what=f"this site, or reach {far_id} over a relay",
    )
