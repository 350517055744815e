"""Radio settings, the antenna, and the links that the crew has to prove."""

from __future__ import annotations

from math import floor

from guyline.core.network.link import LinkAssessment, feeder_loss_of
from guyline.core.plan import Antenna, Pattern, Plan, RadioProfile, Site, SiteId
from guyline.core.radio.antenna_choice import pointing_tolerance_deg
from guyline.core.radio.connectors import Chain, adapters_in_hand, equipment_chain
from guyline.core.radio.link_budget import Direction
from guyline.core.readiness.assessment import SiteAssessment
from guyline.core.readiness.finding import FindingCode
from guyline.errors import InputError
from guyline.services.declination import Declination
from guyline.services.documents import figures
from guyline.services.documents.content import ChainPart, Field, LinkLine
from guyline.services.wording import counted

PASS_WITHIN_DB = 6.0  # common practice, no source: measured against predicted level
PACKETS = 20  # common practice, no source: enough to see a link lose one in ten


def radio_fields(plan: Plan, site: Site, assessment: SiteAssessment) -> tuple[Field, ...]:
    """What must be set, in the words that stand in every radio's settings."""
    profile, radio = plan.radio_profile, site.radio
    hops = "unknown" if profile.hop_limit is None else str(profile.hop_limit)
    return (
        Field(label="Radio identifier", value=radio.identifier or None, built=""),
        Field(label="Radio", value=radio.catalogue_key or None),
        Field(label="Frequency", value=f"{profile.frequency_hz / 1e6:.3f} MHz"),
        Field(
            label="Bandwidth",
            value=f"{profile.bandwidth_hz / 1e3:g} kHz, preamble {profile.preamble_symbols}",
        ),
        Field(
            label="Spreading factor",
            value=f"{profile.spreading_factor}, coding rate 4/{profile.coding_rate}",
        ),
        Field(label="Channel", value=_channel(profile)),
        Field(label="Function", value=f"{site.function}, hop limit {hops}"),
        Field(
            label="Transmit power",
            value=None
            if radio.tx_power_dbm is None
            else f"{radio.tx_power_dbm:g} dBm at the connector",
        ),
        Field(label="Radiates", value=_radiated(assessment)),
    )


def _channel(profile: RadioProfile) -> str | None:
    """Name of the channel and which key, never the key itself."""
    if not profile.channel_name and not profile.key_identifier:
        return None
    name = profile.channel_name or "name unknown"
    return f"{name}, key {profile.key_identifier or 'unknown'}"


def _radiated(assessment: SiteAssessment) -> str | None:
    for finding in assessment.findings:
        if finding.code is FindingCode.RADIATED_POWER:
            if finding.value is None:
                return None
            limit = (
                "limit not entered"
                if finding.limit is None
                else f"limit entered {finding.limit:.1f}"
            )
            return f"{finding.value:.1f} {finding.unit}, {limit}"
    return None


def antenna_fields(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> tuple[Field, ...]:
    """How the antenna stands and where it looks."""
    antenna, units = site.antenna, plan.incident.units
    gain = "gain unknown" if antenna.gain_dbi is None else f"{antenna.gain_dbi:g} dBi"
    name = antenna.catalogue_key or str(antenna.pattern)
    height = site.antenna_agl_m
    loss = feeder_loss_of(site, plan.radio_profile.frequency_hz)
    return (
        Field(label="Antenna", value=f"{name}, {gain}, {antenna.polarisation}"),
        Field(
            label="Centre height",
            value=None if height is None else f"{figures.height(height, units, 1)} above ground",
            built="m",
        ),
        Field(
            label="Azimuth",
            value=azimuth(plan, site, assessment, declination),
            built="° M" if is_directional(antenna) else None,
        ),
        Field(label="Tilt", value=figures.tilt(antenna.tilt_deg), built="°"),
        Field(label="Feeder", value=_feeder(site, loss)),
    )


def is_directional(antenna: Antenna) -> bool:
    return antenna.pattern in (Pattern.SECTOR, Pattern.YAGI, Pattern.PATCH)


def azimuth(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> str | None:
    """Where the antenna looks; one without an azimuth that has one link looks at its far end."""
    antenna = site.antenna
    if not is_directional(antenna):
        return "all round"
    if antenna.azimuth_deg is not None:
        return figures.bearing(antenna.azimuth_deg, declination) + _tolerance(antenna)
    if len(assessment.links) == 1:
        link = assessment.links[0]
        toward = link.azimuth_from_deg(site.site_id)
        if toward is not None:
            words = figures.bearing(toward, declination) + _tolerance(antenna)
            return f"{words}, at {link.link.other(site.site_id)}"
    return None


def _tolerance(antenna: Antenna) -> str:
    """Return how far the aim may be off before it costs 1 dB, down to whole degrees."""
    if antenna.gain_dbi is None:
        return ""
    return f", ± {floor(pointing_tolerance_deg(antenna))}°"


def _feeder(site: Site, loss_db: float | None) -> str | None:
    feeder = site.feeder
    if feeder.length_m is None:
        return None
    if feeder.length_m == 0.0:
        return "none, antenna on the radio"
    loss = "loss unknown" if loss_db is None else f"loss {loss_db:.1f} dB"
    name = feeder.catalogue_key or "type unknown"
    joints = counted(feeder.joints, "joint")
    return f"{feeder.length_m:g} m {name}, {joints}, {loss}"


def connector_chain(site: Site) -> tuple[ChainPart, ...]:
    """What follows what from the radio up to the antenna, and how each is joined to the next."""
    chain = _known_chain(site)
    if chain is not None:
        return _parts(chain)
    feeder = site.feeder
    cable = () if feeder.length_m == 0.0 else ("feeder",)
    arrestor = ("arrestor",) if feeder.has_arrestor else ()
    names = ("radio", *arrestor, *cable, "antenna")
    return tuple(ChainPart(name=name) for name in names)


def _parts(chain: Chain) -> tuple[ChainPart, ...]:
    """Every part once, adapters among them; a joint that cannot be made says what it lacks."""
    found: list[ChainPart] = []
    for part, joint in zip(chain.parts, (*chain.joints, None), strict=True):
        if joint is None:
            found.append(ChainPart(name=part.name))
            continue
        if joint.lacking is not None:
            near, far = joint.lacking
            found.append(ChainPart(name=part.name, joint=f"{near} to {far}", is_lacking=True))
            continue
        ports = [joint.near, *(p for a in joint.adapters for p in (a.near, a.far)), joint.far]
        pairs = list(zip(ports[::2], ports[1::2], strict=True))
        names = [part.name, *(adapter.name for adapter in joint.adapters)]
        found += [
            ChainPart(name=name, joint=f"{near}, {far}")
            for name, (near, far) in zip(names, pairs, strict=True)
        ]
    return tuple(found)


def _known_chain(site: Site) -> Chain | None:
    """The chain with its connectors, None where one of them is unknown or none at all."""
    try:
        return equipment_chain(
            site.radio, site.feeder, site.antenna, adapters_in_hand(site.checklist)
        )
    except InputError:
        return None


def link_lines(
    plan: Plan, site: Site, assessment: SiteAssessment, declination: Declination | None
) -> tuple[LinkLine, ...]:
    """The links that end here, the weakest first."""
    ordered = sorted(
        assessment.links,
        key=lambda link: float("-inf") if link.margin_db is None else link.margin_db,
    )
    return tuple(_link_line(plan, site, link, declination) for link in ordered)


def _link_line(
    plan: Plan, site: Site, link: LinkAssessment, declination: Declination | None
) -> LinkLine:
    here = site.site_id
    far_id = link.link.other(here)
    azimuth_deg = link.azimuth_from_deg(here)
    up = link.elevation_from_deg(here)
    incoming = incoming_direction(link, here)
    required = plan.radio_profile.required_margin_db
    return LinkLine(
        far_id=far_id,
        far_name=plan.site(far_id).name,
        bearing=None if azimuth_deg is None else figures.bearing(azimuth_deg, declination),
        elevation=None if up is None else figures.elevation(up),
        distance=None
        if link.distance_m is None
        else figures.distance(link.distance_m, plan.incident.units),
        expected=None if incoming is None else _level(incoming.received_dbm, incoming.snr_db),
        least=None if incoming is None else _least(incoming, required),
        why_unknown=_why_unknown(link),
        falls_short=link.margin_db is not None and link.margin_db < required,
        path=link.path,
        is_from_here=here == link.link.from_id,
    )


def incoming_direction(link: LinkAssessment, site_id: SiteId) -> Direction | None:
    """The direction of the budget in which this site listens."""
    if link.budget is None:
        return None
    return link.budget.backward if site_id == link.link.from_id else link.budget.forward


def _level(received_dbm: float, snr_db: float) -> str:
    return f"{received_dbm:.0f} dBm, SNR {snr_db:+.0f} dB".replace("-", "−")


def _least(incoming: Direction, required_margin_db: float) -> str:
    """Level at which the required margin is just kept, and the ratio that goes with it."""
    spare = incoming.margin_db - required_margin_db
    return _level(incoming.received_dbm - spare, incoming.snr_db - spare)


def _why_unknown(link: LinkAssessment) -> str:
    if link.missing:
        return "unknown: " + ", ".join(f"{name} of {site_id}" for site_id, name in link.missing)
    if link.budget is None:
        return "unknown: no terrain data on the way"
    return ""
