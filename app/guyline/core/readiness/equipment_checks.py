"""Does the antenna's beam meet its neighbours, and do the connectors go together?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from guyline.core.network.link import LinkAssessment, feeder_loss_of
from guyline.core.plan import Antenna, Gate, Plan, Site, SiteId
from guyline.core.radio.antenna_choice import (
    DIRECTIONAL,
    AntennaFigure,
    Direction,
    Overshoot,
    overshoot,
)
from guyline.core.radio.connectors import (
    Chain,
    adapters_in_hand,
    adapters_to_obtain,
    equipment_chain,
)
from guyline.core.radio.rules import PRINTED_DIGIT_DB, max_tx_power_dbm
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
from guyline.errors import InputError

MOST_NAMED = 3


def equipment_findings(
    plan: Plan, site: Site, links: Iterable[LinkAssessment], alternatives: Mapping[str, Antenna]
) -> tuple[Finding, ...]:
    """Findings about antenna pattern and connectors, as far as both are known.

    Parameters
    ----------
    links : iterable of LinkAssessment
        Those that end at the site.
    alternatives : mapping of name to Antenna
        What the catalogue has for the band.
    """
    return (*_beam(plan, site, links, alternatives), *_connectors(site))


def band_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Whether the antenna is made for the frequency; () where its band is not entered."""
    low, high = site.antenna.low_hz, site.antenna.high_hz
    if low is None or high is None:
        return ()
    frequency = plan.radio_profile.frequency_hz
    covers = low <= frequency <= high
    return (
        Finding(
            code=FindingCode.ANTENNA_BAND,
            gate=Gate.RADIO,
            site_id=site.site_id,
            verdict=Verdict.GO if covers else Verdict.NO_GO,
            quantity="frequency against the antenna's band",
            value=max(0.0, low - frequency, frequency - high) / 1e6,
            limit=0.0,
            unit="MHz",
            comparison=Comparison.AT_MOST,
            facts=(
                ("band", f"{low / 1e6:g} to {high / 1e6:g} MHz"),
                ("frequency", f"{frequency / 1e6:g} MHz"),
            ),
            evidence=site.antenna.source or "plan",
            working=Working(
                formula="lowest <= frequency <= highest of the antenna's band",
                inputs=(
                    Quantity(name="frequency", value=frequency / 1e6, unit="MHz", source="plan"),
                    Quantity(name="lowest", value=low / 1e6, unit="MHz", source="plan"),
                    Quantity(name="highest", value=high / 1e6, unit="MHz", source="plan"),
                ),
                source=site.antenna.source or "plan",
            ),
            remedy=None
            if covers
            else Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what=f"an antenna for {frequency / 1e6:g} MHz",
            ),
        ),
    )


def _beam(
    plan: Plan, site: Site, links: Iterable[LinkAssessment], alternatives: Mapping[str, Antenna]
) -> tuple[Finding, ...]:
    seen = _directions(site.site_id, links)
    if site.antenna.gain_dbi is None or not seen:
        return ()
    all_round = site.antenna.pattern not in DIRECTIONAL
    alike = {  # an antenna that serves everybody is not to be swapped for one that serves a few
        name: other
        for name, other in alternatives.items()
        if (other.pattern not in DIRECTIONAL) == all_round
        and other.polarisation is site.antenna.polarisation
    }
    found = overshoot(
        site.antenna, list(seen.values()), alike, lambda antenna: power_cut_db(plan, site, antenna)
    )
    far_id = next(far for far, direction in seen.items() if direction is found.direction)
    misses = found.is_off_the_beam and bool(found.better)
    best = "; ".join(  # names have commas
        f"{figure.key} with {figure.worst_gain_dbi:.1f} dBi{_lowered(site, figure)}"
        for figure in found.better[:MOST_NAMED]
    )
    return (
        Finding(
            code=FindingCode.ANTENNA_BEAM,
            gate=Gate.RADIO,
            site_id=site.site_id,
            far_id=far_id,
            verdict=Verdict.CONDITIONS if misses else Verdict.GO,
            quantity="angle off the antenna's beam",
            value=found.off_beam_deg,
            limit=found.half_beamwidth_deg,
            unit="°",
            comparison=Comparison.AT_MOST,
            facts=(
                ("gain", f"{found.gain_dbi:.1f}"),
                ("peak", f"{found.peak_dbi:.1f}"),
                ("below", "yes" if found.direction.elevation_deg < 0.0 else "no"),
                ("better", best),
            ),
            evidence="computed from the pattern of the antenna's class",
            working=_beam_working(plan, site, found),
            remedy=Remedy(
                action=RemedyAction.OBTAIN,
                site_id=site.site_id,
                what=f"an antenna that reaches {far_id} better, such as {found.better[0].key}"
                f"{_lowered(site, found.better[0])}",
            )
            if misses
            else None,
        ),
    )


def power_cut_db(plan: Plan, site: Site, antenna: Antenna) -> float:
    """By how much the site's transmit power must fall for an antenna to keep the plan's rule. [dB]

    To a whole dBm, the step in which such radios are set. 0 where rule, power or feeder are
    unknown: the finding about radiated power says so.
    """
    rule, power = plan.radio_rule, site.radio.tx_power_dbm
    feeder = feeder_loss_of(site, plan.radio_profile.frequency_hz)
    if rule is None or power is None or feeder is None or antenna.gain_dbi is None:
        return 0.0
    most = max_tx_power_dbm(rule, feeder, antenna.gain_dbi, power, plan.radio_profile.bandwidth_hz)
    return 0.0 if most >= power - PRINTED_DIGIT_DB else power - float(round(most, 6) // 1)


def _held_against(plan: Plan, site: Site) -> str:
    """Whether the alternatives were held against the limit of radiated power, in words."""
    if plan.radio_rule is None:
        return "alternatives not held against a radiated power, as its limit is not entered"
    feeder = feeder_loss_of(site, plan.radio_profile.frequency_hz)
    if site.radio.tx_power_dbm is None or feeder is None:
        return "alternatives not held against the rule, as transmit power or feeder is unknown"
    return f"alternatives held against {plan.radio_rule.name}"


def _lowered(site: Site, figure: AntennaFigure) -> str:
    if figure.power_cut_db == 0.0:
        return ""
    assert site.radio.tx_power_dbm is not None
    return f" at {site.radio.tx_power_dbm - figure.power_cut_db:g} dBm of transmit power"


def _directions(site_id: SiteId, links: Iterable[LinkAssessment]) -> dict[SiteId, Direction]:
    seen = {}
    for link in links:
        azimuth, elevation = link.azimuth_from_deg(site_id), link.elevation_from_deg(site_id)
        if azimuth is not None and elevation is not None:
            seen[link.link.other(site_id)] = Direction(azimuth, elevation)
    return seen


def _beam_working(plan: Plan, site: Site, found: Overshoot) -> Working:
    rule = plan.radio_rule
    return Working(
        formula="|elevation of the neighbour + tilt| against half of the 3-dB width",
        inputs=(
            Quantity(
                name="elevation of the neighbour",
                value=found.direction.elevation_deg,
                unit="°",
                source="terrain heights with the curvature of the effective Earth",
            ),
            Quantity(
                name="half of the beam's width",
                value=found.half_beamwidth_deg,
                unit="°",
                source="Rec. ITU-R F.1336-5",
            ),
            Quantity(name="gain of the beam", value=found.peak_dbi, unit="dBi", source="plan"),
            Quantity(name="gain toward the neighbour", value=found.gain_dbi, unit="dBi"),
            *(
                Quantity(
                    name=f"{figure.key}, its least gain toward the neighbours",
                    value=figure.worst_gain_dbi,
                    unit="dBi",
                    source="catalogue",
                )
                for figure in found.better[:MOST_NAMED]
            ),
            *(
                Quantity(
                    name=f"transmit power that keeps the limit with {figure.key}",
                    value=(site.radio.tx_power_dbm or 0.0) - figure.power_cut_db,
                    unit="dBm",
                    source=rule.source if rule is not None else "",
                )
                for figure in found.better[:MOST_NAMED]
                if figure.power_cut_db
            ),
        ),
        source="Rec. ITU-R F.1336-5, the lower of its average pattern and a line source",
        confidence=f"class pattern, no measurement of this antenna; {_held_against(plan, site)}",
    )


def _connectors(site: Site) -> tuple[Finding, ...]:
    try:
        chain = equipment_chain(
            site.radio, site.feeder, site.antenna, adapters_in_hand(site.checklist)
        )
    except InputError as error:
        return (_unreadable(site, error),)
    return () if chain is None else (_chain_finding(site, chain),)


def _unreadable(site: Site, error: InputError) -> Finding:
    return Finding(
        code=FindingCode.CONNECTORS,
        gate=Gate.KIT,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="adapters between the connectors",
        comparison=Comparison.AT_MOST,
        facts=(("problem", str(error)),),
        remedy=Remedy(
            action=RemedyAction.ENTER, site_id=site.site_id, what="connectors by family and body"
        ),
    )


def _chain_finding(site: Site, chain: Chain) -> Finding:
    lacking = ", ".join(f"{near} to {far}" for near, far in chain.lacking)
    false_mates = ", ".join(
        f"{joint.near} on {joint.far}: {joint.direct}" for joint in chain.false_mates
    )
    return Finding(
        code=FindingCode.CONNECTORS,
        gate=Gate.KIT,
        site_id=site.site_id,
        verdict=Verdict.NO_GO if lacking else Verdict.GO,
        quantity="adapters between the connectors",
        value=float(len(chain.lacking)),
        limit=0.0,
        comparison=Comparison.AT_MOST,
        facts=(("lacking", lacking), ("false mates", false_mates), ("chain", str(chain))),
        evidence="connectors entered in the plan",
        working=Working(
            formula="ports mate if family and impedance agree, plug meets jack, pin meets socket",
            inputs=(
                Quantity(name="chain", value=str(chain), source="plan"),
                Quantity(name="mated pairs", value=float(chain.mated_pairs)),
            ),
            source="geometry of the interfaces as general references state it",
        ),
        remedy=Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what=" and ".join(f"'{item.name}'" for item in adapters_to_obtain(chain))
            + " and put it on the checklist under that name",
        )
        if lacking
        else None,
    )
