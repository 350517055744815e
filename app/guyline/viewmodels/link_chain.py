"""The parts between a site's radio and its antenna, and how they go together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from guyline.core.plan import Plan, Site, SiteId
from guyline.core.radio.connectors import (
    Chain,
    Fit,
    Joint,
    Part,
    Port,
    adapters_in_hand,
    equipment_chain,
)
from guyline.core.radio.feeder_choice import AT_ANTENNA, compare_mounting
from guyline.errors import InputError

WORTH_A_CLIMB_DB = 1.0  # our choice


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainLine:
    """One line of the picture: a part, or where two parts meet and whether they do."""

    words: str
    is_part: bool
    is_made: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class ChainView:
    """The chain of one site from radio to antenna; no lines where a connector is not known."""

    site_id: SiteId
    lines: tuple[ChainLine, ...]
    sentence: str


def chain_view(plan: Plan, site: Site) -> ChainView:
    """Return the chain of a site with what is to be said of it."""
    try:
        chain = equipment_chain(
            site.radio, site.feeder, site.antenna, adapters_in_hand(site.checklist)
        )
    except InputError as error:
        chain, problem = None, str(error)
    else:
        problem = "Not all connectors are entered: the chain cannot be drawn."
    lines = () if chain is None else tuple(_lines(chain, has_arrestor=site.feeder.has_arrestor))
    says = problem if chain is None else _sentence(chain, lines)
    mounting = mounting_words(plan, site)
    return ChainView(
        site_id=site.site_id,
        lines=lines,
        sentence=" ".join(words for words in (says, mounting) if words),
    )


def _sentence(chain: Chain, lines: tuple[ChainLine, ...]) -> str:
    lacking = len(chain.lacking)
    if lacking == 0:
        return f"All goes together in {sum(not line.is_part for line in lines)} mated pairs."
    return "One adapter is lacking." if lacking == 1 else f"{lacking} adapters are lacking."


def _lines(chain: Chain, *, has_arrestor: bool) -> Iterator[ChainLine]:
    last = len(chain.joints) - 1
    yield ChainLine(words=chain.parts[0].name, is_part=True)
    for i, (joint, part) in enumerate(zip(chain.joints, chain.parts[1:], strict=True)):
        if has_arrestor and i == last:
            yield _mating(joint.near, joint.near.mate)
            yield ChainLine(words="arrestor", is_part=True)
        yield from _joint_lines(joint)
        yield ChainLine(words=part.name, is_part=True)


def _joint_lines(joint: Joint) -> Iterator[ChainLine]:
    if joint.lacking is not None:
        near, far = joint.lacking
        direct = "" if joint.direct is Fit.APART else f"{joint.direct}: "
        yield ChainLine(
            words=f"{joint.near} to {joint.far}: {direct}lacks adapter {near} to {far}",
            is_part=False,
            is_made=False,
        )
        return
    open_port = joint.near
    for adapter in joint.adapters:
        yield _mating(open_port, _port(adapter, is_near=True))
        yield ChainLine(words="adapter", is_part=True)
        open_port = _port(adapter, is_near=False)
    yield _mating(open_port, joint.far)


def _port(adapter: Part, *, is_near: bool) -> Port:
    port = adapter.near if is_near else adapter.far
    assert port is not None  # an adapter has two ends
    return port


def _mating(near: Port, far: Port) -> ChainLine:
    return ChainLine(words=f"{near} – {far}", is_part=False)


def mounting_words(plan: Plan, site: Site) -> str:
    """Return what the radio at the antenna's foot would win; nothing without a feeder."""
    power, feeder = site.radio.tx_power_dbm, site.feeder
    if power is None or not feeder.length_m or feeder.k1_db_per_100ft is None:
        return ""
    if feeder.k2_db_per_100ft is None or feeder.length_m <= (AT_ANTENNA.length_m or 0.0):
        return ""
    both = compare_mounting(feeder, AT_ANTENNA, plan.radio_profile.frequency_hz, power)
    figures = f"feeder {both.indoors.loss_db:.1f} dB, jumper {both.at_antenna.loss_db:.1f} dB"
    if both.gained_db < WORTH_A_CLIMB_DB:
        return (
            f"The radio at the antenna would win only {max(both.gained_db, 0.0):.1f} dB"
            f" ({figures}): the feeder does."
        )
    return (
        f"The radio at the antenna would win {both.gained_db:.1f} dB both ways ({figures});"
        " it would stand in the weather and be climbed to."
    )
