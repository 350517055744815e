"""Coaxial connectors: which two make contact, and the adapters a chain of parts still lacks."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise, product

from guyline.core.plan import Antenna, ChecklistItem, Feeder, Radio
from guyline.errors import InputError

REVERSED_PREFIX = "RP-"
ADAPTER_PREFIX = "Adapter, "  # of a checklist's line, followed by one port, "to", the other
MOST_ADAPTERS = 3  # in a row; more is a new cable, not a chain


class Body(StrEnum):
    """The half of a pair: the plug carries the nut."""

    PLUG = "plug"
    JACK = "jack"

    @property
    def opposite(self) -> Body:
        return Body.JACK if self is Body.PLUG else Body.PLUG


class Contact(StrEnum):
    """What is in the middle."""

    PIN = "pin"
    SOCKET = "socket"

    @property
    def opposite(self) -> Contact:
        return Contact.SOCKET if self is Contact.PIN else Contact.PIN


class Fit(StrEnum):
    """What happens when two ports are brought together; the value is what people read."""

    MATES = "mates"
    NO_CONTACT = "threads up, no contact"
    PINS_COLLIDE = "threads up, pins collide"
    WRONG_IMPEDANCE = "goes together, wrong impedance"
    APART = "does not go together"

    @property
    def is_false_mate(self) -> bool:
        """Whether it can be screwed together and must not be."""
        return self not in (Fit.MATES, Fit.APART)


@dataclass(frozen=True, slots=True, order=True)
class Port:
    """One connector."""

    family: str
    body: Body
    contact: Contact
    impedance_ohm: float = 50.0

    @property
    def thread(self) -> str:
        """What the body screws onto: a reversed family has the thread of the plain one."""
        return self.family.removeprefix(REVERSED_PREFIX)

    @property
    def mate(self) -> Port:
        """The port that fits this one."""
        return Port(self.family, self.body.opposite, self.contact.opposite, self.impedance_ohm)

    def __str__(self) -> str:
        ohm = "" if self.impedance_ohm == 50.0 else f", {self.impedance_ohm:g} ohm"
        return f"{self.family} {self.body}{ohm}"


def port_named(name: str) -> Port:
    """Port of a written name such as "SMA jack", "RP-SMA plug" or "N jack, 75 ohm".

    The contact follows from the family: a plug has the pin unless the family is reversed.

    Raises
    ------
    InputError
        Not a family followed by plug or jack.
    """
    words, _, ohm = name.partition(",")
    family, _, body = words.strip().rpartition(" ")
    ohm = ohm.strip().removesuffix("ohm").strip() or "50"
    if not family or body not in ("plug", "jack") or not ohm.replace(".", "", 1).isdigit():
        raise InputError(
            f"{name!r} names no connector.",
            advice="Write the family and plug or jack, as in 'SMA jack' or 'N plug, 75 ohm'.",
        )
    is_plug = body == "plug"
    has_pin = is_plug != family.startswith(REVERSED_PREFIX)
    return Port(family, Body(body), Contact.PIN if has_pin else Contact.SOCKET, float(ohm))


def fit(one: Port, other: Port) -> Fit:
    """Return what happens when two ports are brought together."""
    if one.thread != other.thread or one.body is other.body:
        return Fit.APART
    if one.contact is other.contact:
        return Fit.PINS_COLLIDE if one.contact is Contact.PIN else Fit.NO_CONTACT
    return Fit.MATES if one.impedance_ohm == other.impedance_ohm else Fit.WRONG_IMPEDANCE


@dataclass(frozen=True, slots=True)
class Part:
    """A piece of the chain; the radio has no near port, the antenna no far one."""

    name: str
    near: Port | None
    far: Port | None
    is_reversible: bool = True

    @property
    def turned(self) -> Part:
        return Part(self.name, self.far, self.near, self.is_reversible)


@dataclass(frozen=True, slots=True)
class Joint:
    """Where two parts meet: directly, through adapters, or not yet.

    `direct` is what would happen without an adapter; `lacking` is the adapter to obtain, by the
    ports it must have toward radio and antenna.
    """

    near: Port
    far: Port
    direct: Fit
    adapters: tuple[Part, ...] = ()
    lacking: tuple[Port, Port] | None = None

    @property
    def is_made(self) -> bool:
        return self.lacking is None

    @property
    def mated_pairs(self) -> int:
        """Connector pairs in the joint, the adapter to obtain counted."""
        return 1 + len(self.adapters) + (not self.is_made)


@dataclass(frozen=True, slots=True)
class Chain:
    """Parts from radio to antenna as they should be turned, and the joints between them."""

    parts: tuple[Part, ...]
    joints: tuple[Joint, ...]

    @property
    def lacking(self) -> tuple[tuple[Port, Port], ...]:
        """Adapters still to obtain, each by its two ports."""
        return tuple(joint.lacking for joint in self.joints if joint.lacking is not None)

    @property
    def false_mates(self) -> tuple[Joint, ...]:
        """Joints that would screw together without their adapter, and must not."""
        return tuple(joint for joint in self.joints if joint.direct.is_false_mate)

    @property
    def mated_pairs(self) -> int:
        """Connector pairs between radio and antenna, for the loss of the feeder."""
        return sum(joint.mated_pairs for joint in self.joints)

    def __str__(self) -> str:
        text = _words(self.parts[0])
        for joint, part in zip(self.joints, self.parts[1:], strict=True):
            for adapter in joint.adapters:
                text += f" > {_words(adapter)}"
            if joint.lacking is not None:
                text += f" > LACKING [{joint.lacking[0]}] to [{joint.lacking[1]}]"
            text += f" > {_words(part)}"
        return text


def solve_chain(parts: Sequence[Part], adapters: Iterable[Part] = ()) -> Chain:
    """Chain of parts with as few adapters to obtain, and then to use, as can be.

    Parameters
    ----------
    parts : sequence of Part
        From radio to antenna; parts in the middle are turned round where that helps.
    adapters : iterable of Part
        Adapters in hand, each once.

    Raises
    ------
    InputError
        Fewer than two parts, or a part in the middle without a port.
    """
    in_hand = tuple(adapters)
    choices = [_ways(part, i, len(parts)) for i, part in enumerate(parts)]
    if len(parts) < 2 or any(_lacks_ports(part, i, len(parts)) for i, part in enumerate(parts)):
        raise InputError(
            "The chain from radio to antenna has a part without a connector.",
            advice="Enter the connectors of radio and antenna and of both ends of each cable.",
        )
    chains = [_joined(way, in_hand) for way in product(*choices)]
    return min(chains, key=lambda chain: (len(chain.lacking), chain.mated_pairs))


def equipment_chain(
    radio: Radio, feeder: Feeder, antenna: Antenna, adapters: Iterable[Part] = ()
) -> Chain | None:
    """Chain of a site's own equipment; None where a connector is not known.

    A feeder of no length is none: the antenna stands on the radio. An arrestor is taken to have
    the connectors of the joint it is put into.
    """
    names = [radio.port, antenna.port]
    has_cable = feeder.length_m != 0.0
    if has_cable:
        names += [feeder.near_port, feeder.far_port]
    if not all(names):
        return None
    parts = [Part("radio", None, port_named(radio.port))]
    if has_cable:
        parts.append(Part("feeder", port_named(feeder.near_port), port_named(feeder.far_port)))
    parts.append(Part("antenna", port_named(antenna.port), None))
    return solve_chain(parts, adapters)


def adapters_to_obtain(chain: Chain) -> tuple[ChecklistItem, ...]:
    """Critical lines of the checklist for the adapters a chain lacks."""
    return tuple(
        ChecklistItem(name=f"{ADAPTER_PREFIX}{near} to {far}", is_critical=True)
        for near, far in chain.lacking
    )


def adapters_in_hand(checklist: Iterable[ChecklistItem]) -> list[Part]:
    """Adapters of a checklist that are in hand, packed or fitted, each as often as it is there."""
    parts: list[Part] = []
    for item in checklist:
        near, _, far = item.name.removeprefix(ADAPTER_PREFIX).partition(" to ")
        if item.name.startswith(ADAPTER_PREFIX) and far and item.state.is_held:
            parts += [Part("adapter", port_named(near), port_named(far))] * item.quantity
    return parts


def _ways(part: Part, index: int, count: int) -> tuple[Part, ...]:
    can_turn = 0 < index < count - 1 and part.is_reversible and part.near != part.far
    return (part, part.turned) if can_turn else (part,)


def _lacks_ports(part: Part, index: int, count: int) -> bool:
    return (index > 0 and part.near is None) or (index < count - 1 and part.far is None)


def _joined(parts: tuple[Part, ...], in_hand: tuple[Part, ...]) -> Chain:
    left = list(in_hand)
    joints = []
    for near_part, far_part in pairwise(parts):
        assert near_part.far is not None
        assert far_part.near is not None
        joint = _joint(near_part.far, far_part.near, left)
        for adapter in joint.adapters:
            left.remove(adapter if adapter in left else adapter.turned)
        joints.append(joint)
    return Chain(parts, tuple(joints))


def _joint(near: Port, far: Port, in_hand: Sequence[Part]) -> Joint:
    direct = fit(near, far)
    if direct is Fit.MATES:
        return Joint(near, far, direct)
    route = _route(near, far, in_hand)
    if route is not None:
        return Joint(near, far, direct, adapters=route)
    return Joint(near, far, direct, lacking=(near.mate, far.mate))


def _route(near: Port, far: Port, in_hand: Sequence[Part]) -> tuple[Part, ...] | None:
    """Shortest row of adapters in hand between two ports; None if there is none."""
    ends = [
        (i, way)
        for i, adapter in enumerate(in_hand)
        for way in ((adapter, adapter.turned) if adapter.near != adapter.far else (adapter,))
    ]
    queue: deque[tuple[Port, tuple[tuple[int, Part], ...]]] = deque([(near, ())])
    while queue:
        open_port, used = queue.popleft()
        if used and fit(open_port, far) is Fit.MATES:
            return tuple(way for _, way in used)
        if len(used) == MOST_ADAPTERS:
            continue
        taken = {i for i, _ in used}
        for i, way in ends:
            fits = way.near is not None and fit(open_port, way.near) is Fit.MATES
            if i not in taken and fits and way.far is not None:
                queue.append((way.far, (*used, (i, way))))
    return None


def _words(part: Part) -> str:
    near = "" if part.near is None else f"[{part.near}] "
    far = "" if part.far is None else f" [{part.far}]"
    return f"{near}{part.name}{far}"
