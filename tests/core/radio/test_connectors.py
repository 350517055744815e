"""Connectors: every pair of ports, and chains against trying everything."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Antenna, Feeder, Radio
from guyline.core.radio.connectors import (
    Body,
    Chain,
    Contact,
    Fit,
    Part,
    Port,
    adapters_to_obtain,
    equipment_chain,
    fit,
    port_named,
    solve_chain,
)
from guyline.errors import InputError

FAMILIES = (
    "N",
    "SMA",
    "RP-SMA",
    "TNC",
    "RP-TNC",
    "BNC",
    "UHF",
    "micro-coax 3 mm",
    "micro-coax 2 mm",
)
ALL_PORTS = [port_named(f"{family} {body}") for family in FAMILIES for body in Body]
PORTS = st.sampled_from(ALL_PORTS[:6])
ADAPTERS = st.builds(Part, st.just("adapter"), PORTS, PORTS)

# geometry as general references state it: a reversed plug has a socket, a reversed jack a pin
FALSE_MATES = {
    frozenset(("RP-SMA plug", "SMA jack")): Fit.NO_CONTACT,
    frozenset(("SMA plug", "RP-SMA jack")): Fit.PINS_COLLIDE,
    frozenset(("RP-TNC plug", "TNC jack")): Fit.NO_CONTACT,
    frozenset(("TNC plug", "RP-TNC jack")): Fit.PINS_COLLIDE,
}


def radio(port: str) -> Part:
    return Part("radio", None, port_named(port))


def antenna(port: str) -> Part:
    return Part("antenna", port_named(port), None)


def cable(near: str, far: str, name: str = "cable") -> Part:
    return Part(name, port_named(near), port_named(far))


@pytest.mark.parametrize("one", ALL_PORTS, ids=str)
@pytest.mark.parametrize("other", ALL_PORTS, ids=str)
def test_every_pair_of_ports_does_what_its_geometry_says(one: Port, other: Port) -> None:
    same_family = one.family == other.family and one.body is not other.body
    expected = FALSE_MATES.get(frozenset((str(one), str(other))), Fit.APART)
    assert fit(one, other) is (Fit.MATES if same_family else expected)


def test_75_ohm_goes_onto_50_ohm_and_must_not() -> None:
    assert fit(port_named("N plug"), port_named("N jack, 75 ohm")) is Fit.WRONG_IMPEDANCE
    assert Fit.WRONG_IMPEDANCE.is_false_mate


@given(one=PORTS, other=PORTS)
def test_fit_does_not_depend_on_the_order(one: Port, other: Port) -> None:
    assert fit(one, other) is fit(other, one)
    assert fit(one, one.mate) is Fit.MATES


@pytest.mark.parametrize(
    ("name", "contact"),
    [
        ("SMA plug", Contact.PIN),
        ("SMA jack", Contact.SOCKET),
        ("RP-SMA plug", Contact.SOCKET),
        ("RP-SMA jack", Contact.PIN),
    ],
)
def test_contact_follows_from_the_name(name: str, contact: Contact) -> None:
    assert port_named(name).contact is contact
    assert str(port_named(name)) == name


@pytest.mark.parametrize("name", ["", "SMA", "plug", "SMA male", "N jack, many ohm"])
def test_name_that_is_no_connector_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="names no connector"):
        port_named(name)


def test_cable_is_turned_round_before_an_adapter_is_asked_for() -> None:
    chain = solve_chain([radio("SMA jack"), cable("N plug", "SMA plug"), antenna("N jack")])
    assert chain.lacking == ()
    assert chain.mated_pairs == 2
    assert str(chain) == ("radio [SMA jack] > [SMA plug] cable [N plug] > [N jack] antenna")


def test_reversed_plug_on_a_plain_jack_is_named_and_the_adapter_listed() -> None:
    parts = [radio("SMA jack"), cable("RP-SMA plug", "N plug"), antenna("N jack")]
    chain = solve_chain(parts)
    assert [joint.direct for joint in chain.false_mates] == [Fit.NO_CONTACT]
    assert chain.lacking == ((port_named("SMA plug"), port_named("RP-SMA jack")),)
    assert "LACKING [SMA plug] to [RP-SMA jack]" in str(chain)


def test_adapter_in_hand_is_used_whichever_way_round_it_lies() -> None:
    in_hand = [Part("adapter", port_named("RP-SMA jack"), port_named("SMA plug"))]
    parts = [radio("SMA jack"), cable("RP-SMA plug", "N plug"), antenna("N jack")]
    chain = solve_chain(parts, in_hand)
    assert chain.lacking == ()
    assert chain.mated_pairs == 3


def test_two_adapters_in_a_row_are_found() -> None:
    in_hand = [
        Part("first", port_named("SMA plug"), port_named("TNC jack")),
        Part("second", port_named("TNC plug"), port_named("N jack")),
    ]
    chain = solve_chain([radio("SMA jack"), antenna("N plug")], in_hand)
    assert chain.lacking == ()
    assert [part.name for part in chain.joints[0].adapters] == ["first", "second"]


def test_one_adapter_serves_one_joint_only() -> None:
    in_hand = [Part("adapter", port_named("SMA plug"), port_named("N jack"))]
    parts = [radio("SMA jack"), cable("N plug", "SMA jack"), antenna("N plug")]
    assert len(solve_chain(parts, in_hand).lacking) == 1
    assert solve_chain(parts, in_hand * 2).lacking == ()


def test_part_without_a_connector_is_refused() -> None:
    with pytest.raises(InputError, match="without a connector"):
        solve_chain([radio("SMA jack"), Part("cable", None, None), antenna("N jack")])
    with pytest.raises(InputError, match="without a connector"):
        solve_chain([radio("SMA jack")])


@given(
    ports=st.lists(st.tuples(PORTS, PORTS), max_size=3),
    ends=st.tuples(PORTS, PORTS),
    in_hand=st.lists(ADAPTERS, max_size=3),
)
def test_every_joint_of_a_chain_makes_contact_all_the_way(
    ports: list[tuple[Port, Port]], ends: tuple[Port, Port], in_hand: list[Part]
) -> None:
    parts = [Part("cable", near, far) for near, far in ports]
    chain = solve_chain(
        [Part("radio", None, ends[0]), *parts, Part("antenna", ends[1], None)], in_hand
    )
    for joint in chain.joints:
        assert _makes_contact(joint.near, joint.adapters, joint.lacking, joint.far)
    used = [part for joint in chain.joints for part in joint.adapters]
    assert len(used) <= len(in_hand)


@given(ports=st.lists(st.tuples(PORTS, PORTS), max_size=3), ends=st.tuples(PORTS, PORTS))
def test_without_adapters_no_turning_of_the_cables_lacks_fewer(
    ports: list[tuple[Port, Port]], ends: tuple[Port, Port]
) -> None:
    # law against trying every way round
    parts = [Part("cable", near, far) for near, far in ports]
    first, last = Part("radio", None, ends[0]), Part("antenna", ends[1], None)
    fewest = min(
        _joints_that_fail([first, *way, last])
        for way in product(*[(part, part.turned) for part in parts])
    )
    assert len(solve_chain([first, *parts, last]).lacking) == fewest


def _joints_that_fail(parts: list[Part]) -> int:
    fits = [fit(a.far, b.near) for a, b in pairwise(parts) if a.far and b.near]
    return sum(one is not Fit.MATES for one in fits)


def _makes_contact(
    near: Port, adapters: tuple[Part, ...], lacking: tuple[Port, Port] | None, far: Port
) -> bool:
    ports = [near]
    for part in adapters:
        assert part.near is not None
        assert part.far is not None
        ports += [part.near, part.far]
    ports += [*(lacking or ()), far]
    pairs = zip(ports[::2], ports[1::2], strict=True)
    return all(fit(one, other) is Fit.MATES for one, other in pairs)


def test_chain_of_nothing_between_is_radio_and_antenna() -> None:
    chain = solve_chain([radio("SMA jack"), antenna("SMA plug")])
    assert isinstance(chain, Chain)
    assert chain.mated_pairs == 1


def test_site_whose_connectors_are_known_lists_its_missing_adapter_as_critical() -> None:
    feeder = Feeder(length_m=10.0, near_port="RP-SMA plug", far_port="N plug")
    chain = equipment_chain(Radio(port="SMA jack"), feeder, Antenna(port="N jack"))
    assert chain is not None
    items = adapters_to_obtain(chain)
    assert [item.name for item in items] == ["Adapter, SMA plug to RP-SMA jack"]
    assert all(item.is_critical for item in items)


def test_site_with_an_unknown_connector_has_no_chain() -> None:
    assert equipment_chain(Radio(port="SMA jack"), Feeder(), Antenna(port="N jack")) is None
    assert equipment_chain(Radio(), Feeder(length_m=0.0), Antenna(port="N jack")) is None


def test_antenna_on_the_radio_needs_no_feeder() -> None:
    bare = Feeder(length_m=0.0)
    chain = equipment_chain(Radio(port="SMA jack"), bare, Antenna(port="SMA plug"))
    assert chain is not None
    assert chain.lacking == ()
