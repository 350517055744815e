"""The chain from radio to antenna is told part by part, and what does not mate stands out."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Antenna, ChecklistItem, Feeder, ItemState, Pattern, Plan, Radio, Site
from guyline.viewmodels.link_chain import chain_view, mounting_words
from guyline.viewmodels.link_patterns import aim_words
from stories import HILL, three_sites


def with_ports(near: str, far: str, **more: object) -> tuple[Plan, Site]:
    plan = three_sites()
    hill = plan.site(HILL)
    site = replace(
        hill,
        radio=replace(hill.radio, port="SMA jack"),
        antenna=replace(hill.antenna, port="N jack"),
        feeder=Feeder(
            length_m=10.0,
            k1_db_per_100ft=0.45,
            k2_db_per_100ft=0.008,
            near_port=near,
            far_port=far,
            **more,  # type: ignore[arg-type]
        ),
    )
    return plan, site


def test_a_chain_that_mates_is_drawn_part_by_part():
    chain = chain_view(*with_ports("SMA plug", "N plug"))
    assert [line.words for line in chain.lines] == [
        "radio", "SMA jack – SMA plug", "feeder", "N plug – N jack", "antenna",
    ]  # fmt: skip
    assert all(line.is_made for line in chain.lines)
    assert "All goes together in 2 mated pairs." in chain.sentence


def test_an_arrestor_is_drawn_at_the_antenna():
    chain = chain_view(*with_ports("SMA plug", "N plug", has_arrestor=True))
    assert [line.words for line in chain.lines if line.is_part] == [
        "radio", "feeder", "arrestor", "antenna",
    ]  # fmt: skip


def test_a_joint_that_threads_up_without_contact_is_broken_and_named():
    chain = chain_view(*with_ports("RP-SMA plug", "N plug"))
    (broken,) = [line for line in chain.lines if not line.is_made]
    assert "threads up, no contact" in broken.words
    assert "lacks adapter SMA plug to RP-SMA jack" in broken.words
    assert "One adapter is lacking." in chain.sentence


def test_an_adapter_in_hand_becomes_a_part():
    plan, site = with_ports("N plug", "N plug")
    adapter = ChecklistItem(name="Adapter, SMA plug to N jack", state=ItemState.PACKED)
    chain = chain_view(plan, replace(site, checklist=(*site.checklist, adapter)))
    assert [line.words for line in chain.lines][:5] == [
        "radio", "SMA jack – SMA plug", "adapter", "N jack – N plug", "feeder",
    ]  # fmt: skip
    assert all(line.is_made for line in chain.lines)


@pytest.mark.parametrize(
    ("near", "says"), [("", "Not all connectors are entered"), ("screw", "names no connector")]
)
def test_without_readable_connectors_nothing_is_drawn_and_it_is_said(near, says):
    chain = chain_view(*with_ports(near, "N plug"))
    assert chain.lines == ()
    assert says in chain.sentence


def test_a_long_feeder_is_held_against_the_radio_at_the_antenna():
    plan, site = with_ports("SMA plug", "N plug")
    # rederived: 10 m of 0.45 sqrt(868) + 0.008 * 868 = 20.2 dB per 100 ft (30.48 m) is 6.63 dB
    # against 0.5 m of 0.24208 sqrt(868) + 0.00033 * 868 = 7.42 dB per 100 ft: 0.12 dB
    plan = replace(plan, radio_profile=replace(plan.radio_profile, frequency_hz=868e6))
    assert "would win 6.5 dB both ways" in mounting_words(plan, site)
    short = replace(site, feeder=replace(site.feeder, length_m=1.0))
    assert "would win only 0.5 dB" in mounting_words(plan, short)
    assert mounting_words(plan, replace(site, radio=Radio())) == ""
    assert mounting_words(plan, replace(site, feeder=Feeder(length_m=0.0))) == ""


def test_bad_aim_is_told_for_beams_and_a_leaning_mast_for_all():
    yagi = Antenna(pattern=Pattern.YAGI, gain_dbi=9.0)
    assert aim_words(yagi, 0.0).startswith("10° off costs ")
    assert "a mast that leans 5° costs up to " in aim_words(yagi, 0.0)
    assert aim_words(Antenna(gain_dbi=5.0), -4.0).startswith("A mast that leans 5°")
