"""Traffic of a plan against counts by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.network.link import LinkAssessment
from guyline.core.network.traffic import plan_traffic, received_levels_dbm
from guyline.core.plan import Link, Need, Plan, RadioProfile, Relaying, Site, SiteFunction, SiteId
from guyline.core.radio.airtime import time_on_air_s
from guyline.core.radio.busy_hour import busy_hour_packets, most_packets_per_hour
from guyline.core.radio.link_budget import Terminal, link_budget

A, B, HUB, GATE, LONE = (SiteId(name) for name in ("A", "B", "HUB", "GATE", "LONE"))
PAIRS = ((A, HUB), (B, HUB), (HUB, GATE))
PROFILE = RadioProfile(bandwidth_hz=125e3, spreading_factor=10)
AIRTIME_S = time_on_air_s(40, 10, 125e3)
PLAN = Plan(
    radio_profile=PROFILE,
    sites=(
        Site(site_id=A),
        Site(site_id=B),
        Site(site_id=HUB, function=SiteFunction.RELAY),
        Site(site_id=GATE, function=SiteFunction.GATEWAY),
        Site(site_id=LONE),
    ),
    needs=tuple(Need(from_id=site, to_id=GATE, packets_per_hour=6.0) for site in (A, B, LONE)),
)


def assessed(pair: tuple[SiteId, SiteId], loss_db: float) -> LinkAssessment:
    end = Terminal(
        tx_power_dbm=14.0, feeder_loss_db=0.0, antenna_gain_dbi=2.0, noise_figure_db=6.0
    )
    return LinkAssessment(
        link=Link(from_id=pair[0], to_id=pair[1]),
        budget=link_budget(end, end, loss_db, 125e3, 10),
    )


LINKS = [assessed(pair, 120.0 + 3.0 * i) for i, pair in enumerate(PAIRS)]


def test_hub_sends_everything_of_everybody() -> None:
    # by hand: each routed need is 6 packets an hour either way; the hub repeats all 24
    traffic = plan_traffic(PLAN, PAIRS, LINKS)
    packets = {known.site_id: known.packets_per_hour for known in traffic.sites}
    assert packets == {A: 6.0, B: 6.0, HUB: 24.0, GATE: 12.0, LONE: 0.0}
    hub = traffic.site(HUB)
    assert hub.airtime_s_per_hour == pytest.approx(24.0 * AIRTIME_S)
    assert hub.busy_hour_s == pytest.approx(busy_hour_packets(24.0) * AIRTIME_S)


def test_hub_is_overloaded_before_anyone_else() -> None:
    traffic = plan_traffic(PLAN, PAIRS, LINKS, duty_fraction=0.01)
    assert max(traffic.sites, key=lambda sent: sent.busy_hour_s).site_id == HUB
    room = {sent.site_id: sent.can_carry_per_hour for sent in traffic.sites}
    assert room[LONE] is None  # it sends nothing
    assert room[HUB] == pytest.approx(most_packets_per_hour(AIRTIME_S, 36.0))
    assert traffic.capacity is not None
    assert traffic.capacity.hub == [site.site_id for site in PLAN.sites].index(HUB)


def test_need_without_a_route_has_no_delivery_and_the_others_have_one() -> None:
    traffic = plan_traffic(PLAN, PAIRS, LINKS)
    deliveries = [known.delivery for known in traffic.needs]
    assert deliveries[2] is None
    assert traffic.needs[2].route == ()
    assert all(chance is not None and 0.5 < chance < 1.0 for chance in deliveries[:2])


def test_rate_of_each_need_can_be_given() -> None:
    needs = (replace(PLAN.needs[0], packets_per_hour=3.0), Need(from_id=B, to_id=GATE))
    traffic = plan_traffic(replace(PLAN, needs=needs), PAIRS, LINKS)
    assert traffic.site(A).packets_per_hour == 3.0
    assert traffic.site(B).packets_per_hour == 0.0


def test_levels_come_from_both_directions_of_the_links() -> None:
    levels = received_levels_dbm(PLAN, LINKS)
    assert levels[0, 2] == pytest.approx(14.0 + 2.0 - 120.0 + 2.0)
    assert levels[2, 0] == levels[0, 2]
    assert levels[0, 1] != levels[0, 1]  # NaN: never assessed


def test_plan_without_traffic_has_no_capacity() -> None:
    assert plan_traffic(PLAN, (), ()).capacity is None
    silent = replace(PLAN, needs=(Need(from_id=A, to_id=GATE),))
    assert plan_traffic(silent, PAIRS, LINKS).capacity is None


def test_longer_payload_of_a_site_takes_longer_on_the_air() -> None:
    talker = replace(PLAN.sites[0], payload_bytes=200)
    traffic = plan_traffic(PLAN.with_site(talker), PAIRS, LINKS)
    assert traffic.site(A).airtime_s_per_hour == pytest.approx(6.0 * time_on_air_s(200, 10, 125e3))


def test_flooded_need_is_sent_on_by_every_relay_and_no_end_point() -> None:
    # by hand: A, B and LONE send 6, the gateway answers each with 6 and repeats what it hears
    flooded = replace(PLAN, radio_profile=replace(PROFILE, relaying=Relaying.FLOODED))
    traffic = plan_traffic(flooded, PAIRS, LINKS)
    packets = {known.site_id: known.packets_per_hour for known in traffic.sites}
    assert packets == {A: 6.0, B: 6.0, HUB: 30.0, GATE: 30.0, LONE: 6.0}
    assert traffic.capacity is not None
    routed = plan_traffic(PLAN, PAIRS, LINKS)
    assert routed.capacity is not None
    assert traffic.capacity.factor < routed.capacity.factor


def test_hop_limit_ends_a_flood() -> None:
    profile = replace(PROFILE, relaying=Relaying.FLOODED, hop_limit=1)
    traffic = plan_traffic(replace(PLAN, radio_profile=profile), PAIRS, LINKS)
    assert traffic.site(HUB).packets_per_hour == 0.0
    assert traffic.capacity is None


def test_relay_that_hears_with_little_margin_is_woken_by_a_flood_too() -> None:
    # by hand: no link keeps its margin, but A and the hub hear each other with 3 dB to spare
    profile = replace(PROFILE, relaying=Relaying.FLOODED)
    plan = replace(PLAN, radio_profile=profile)
    weak = assessed(PAIRS[0], 14.0 + 4.0 + 132.0 - 3.0)  # sensitivity -132.0 dBm at NF 6, SF 10
    assert weak.margin_db == pytest.approx(3.0, abs=0.1)
    traffic = plan_traffic(plan, (), [weak])
    assert traffic.site(HUB).packets_per_hour == 6.0
    assert traffic.capacity is None  # but nothing is planned over it
    deaf = assessed(PAIRS[0], 200.0)
    assert plan_traffic(plan, (), [deaf]).site(HUB).packets_per_hour == 0.0
