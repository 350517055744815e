"""Sentences about what the sites send for the needs, and how far that can grow."""

from __future__ import annotations

from guyline.core.network.traffic import PlanTraffic, SiteTraffic
from guyline.core.plan import Plan
from guyline.services.wording.numbers import percent


def busiest_first(traffic: PlanTraffic) -> tuple[SiteTraffic, ...]:
    """Return the sites that send anything for the needs, by airtime."""
    sending = [sent for sent in traffic.sites if sent.packets_per_hour > 0.0]
    return tuple(sorted(sending, key=lambda sent: -sent.airtime_s_per_hour))


def sent_words(sent: SiteTraffic) -> str:
    """Return what a site sends in an hour."""
    room = sent.can_carry_per_hour
    most = "" if room is None else f" of {room:.0f} that it can carry within the duty cycle"
    return (
        f"{sent.packets_per_hour:.0f} packets an hour with what it relays{most},"
        f" {sent.airtime_s_per_hour:.0f} s on the air;"
        f" {sent.busy_hour_s:.0f} s in the busiest hour of a day"
    )


def capacity_sentence(plan: Plan, traffic: PlanTraffic) -> str:
    """Return how far the traffic of the needs can grow and what then gives, or nothing."""
    capacity = traffic.capacity
    if capacity is None:
        return ""
    gives = (
        "packets spoil one another: one in ten is lost on some route"
        if capacity.hub is None
        else f"{plan.sites[capacity.hub].site_id} reaches the duty cycle of the rule"
    )
    if capacity.factor == 0.0:
        return f"Of the needs next to nothing can be carried: {gives}."
    if capacity.factor < 1.0:
        return f"The needs are {1.0 / capacity.factor:.1f} times what can be carried: {gives}."
    return (
        f"The needs can grow to {capacity.factor:.1f} times, {capacity.packets_per_hour:.0f}"
        f" packets an hour in all; then {gives}."
    )


def worst_delivery_sentence(traffic: PlanTraffic) -> str:
    """Return the need whose packets are spoilt most often, or nothing where none sends any."""
    known = [n for n in traffic.needs if n.delivery is not None and n.need.packets_per_hour]
    if not known:
        return ""
    worst = min(known, key=lambda n: n.delivery or 0.0)
    assert worst.delivery is not None
    return (
        f"{percent(worst.delivery)} of the packets between {worst.need.from_id} and"
        f" {worst.need.to_id} come through without meeting another, the fewest of all."
    )
