"""What goes wrong at temporary sites, and which finding, question or page meets it.

The complaints are general terms from published site-visit logs and handbooks, and common
practice; each stands with all that the program does about it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from guyline.core.plan import Gate
from guyline.core.readiness.finding import FindingCode


class Elsewhere(StrEnum):
    """Where a check is met that is no finding of a site; the value is what people read."""

    SITE_SHEET = "printed on the site sheet"
    WEAK_SPOTS = "weak spots of the readiness review"
    REPRINT = "digest at the foot of every sheet"


@dataclass(frozen=True, slots=True, kw_only=True)
class CatalogueCheck:
    """One line of the catalogue.

    Attributes
    ----------
    codes
        Findings that compute it; () where only people can tell.
    question
        What is asked of people, "" where everything is computed; `gate` is where they answer.
    """

    number: int
    complaint: str
    codes: tuple[FindingCode, ...] = ()
    question: str = ""
    gate: Gate | None = None
    elsewhere: Elsewhere | None = None


_C = FindingCode

CHECK_CATALOGUE = (
    CatalogueCheck(
        number=1,
        complaint="battery cut-off tripped and did not come back, or there was none",
        codes=(_C.BATTERY_CUT_OFF,),
        question="Did the controller reconnect by itself on the bench, with the load attached?",
        gate=Gate.BENCH_TEST,
    ),
    CatalogueCheck(number=2, complaint="no spare fuse", codes=(_C.SPARE_FUSES,)),
    CatalogueCheck(
        number=3,
        complaint="water in connector or box",
        codes=(_C.CONNECTOR_TAPE,),
        question="Do the glands face down, and is the box tight enough for where it stands?",
        gate=Gate.BENCH_TEST,
    ),
    CatalogueCheck(
        number=4,
        complaint="radio powered without its antenna",
        question="Was the antenna fitted before the radio was powered?",
        gate=Gate.BENCH_TEST,
        elsewhere=Elsewhere.SITE_SHEET,
    ),
    CatalogueCheck(
        number=5,
        complaint="wrong region or band",
        codes=(_C.RULE_LIMIT, _C.READ_BACK, _C.ANTENNA_BAND),
    ),
    CatalogueCheck(
        number=6,
        complaint="identifier or name used twice, or nearly so",
        codes=(_C.RADIO_IDENTIFIER, _C.RADIO_ALIKE, _C.SITE_ALIKE),
    ),
    CatalogueCheck(number=7, complaint="wrong channel or key", codes=(_C.READ_BACK,)),
    CatalogueCheck(
        number=8, complaint="the beam passes over those below it", codes=(_C.ANTENNA_BEAM,)
    ),
    CatalogueCheck(
        number=9,
        complaint="trees in leaf, or grown",
        codes=(_C.LINK_MARGIN, _C.LINK_PROBABILITY),
    ),
    CatalogueCheck(
        number=10, complaint="gate code unknown, key holder gone", codes=(_C.KEY_HOLDER,)
    ),
    CatalogueCheck(
        number=11,
        complaint="permission by word of mouth, or run out",
        codes=(_C.PERMISSION, _C.PERMISSION_EXPIRY),
    ),
    CatalogueCheck(
        number=12,
        complaint="coordinates of the gate, swapped, or of another datum",
        codes=(_C.GROUND_HEIGHT, _C.POSITION_UNCERTAINTY),
    ),
    CatalogueCheck(
        number=13,
        complaint="true taken for magnetic north",
        elsewhere=Elsewhere.SITE_SHEET,
    ),
    CatalogueCheck(number=14, complaint="connectors do not go together", codes=(_C.CONNECTORS,)),
    CatalogueCheck(
        number=15,
        complaint="cable longer or with more loss than planned",
        codes=(_C.LINK_MARGIN, _C.LINK_INPUTS),
    ),
    CatalogueCheck(
        number=16,
        complaint="too much radiated after an antenna was swapped",
        codes=(_C.RADIATED_POWER,),
    ),
    CatalogueCheck(
        number=17,
        complaint="too much airtime where all traffic meets",
        codes=(_C.DUTY_CYCLE, _C.BUSY_HOUR, _C.ROUTED_TRAFFIC),
    ),
    CatalogueCheck(
        number=18,
        complaint="panel in the shade, or facing the wrong way",
        codes=(_C.PANEL_AIM, _C.SURVIVAL, _C.SOLAR_BALANCE),
    ),
    CatalogueCheck(
        number=19, complaint="lithium cells charged below freezing", codes=(_C.COLD_CHARGING,)
    ),
    CatalogueCheck(
        number=20,
        complaint="box overheats",
        question="Is the box light in colour and shaded, and was it tried in full sun?",
        gate=Gate.BENCH_TEST,
    ),
    CatalogueCheck(
        number=21,
        complaint="mast blown down",
        codes=(_C.MAST_WIND,),
        question="Is the mast guyed, or is the gust known at which it falls?",
        gate=Gate.SAFETY,
    ),
    CatalogueCheck(
        number=22,
        complaint="socket switched off, tripped, or without backup",
        codes=(_C.MAINS_SOCKET, _C.POWER_SOURCE),
    ),
    CatalogueCheck(
        number=23, complaint="everything hangs on one site", elsewhere=Elsewhere.WEAK_SPOTS
    ),
    CatalogueCheck(
        number=24,
        complaint="the crew went alone and nobody knew",
        question="Are there two of them at least, and who waits for their calls at which times?",
        gate=Gate.SAFETY,
    ),
    CatalogueCheck(number=25, complaint="sheet out of date", elsewhere=Elsewhere.REPRINT),
    CatalogueCheck(number=26, complaint="antenna for another band", codes=(_C.ANTENNA_BAND,)),
    CatalogueCheck(
        number=27,
        complaint="hilltops hear each other and all send everything on",
        codes=(_C.BUSY_HOUR, _C.ROUTED_TRAFFIC, _C.REACH),
    ),
    CatalogueCheck(
        number=28,
        complaint="rodents or ants in the box",
        question="Is every unused gland closed?",
        gate=Gate.BENCH_TEST,
    ),
    CatalogueCheck(
        number=29,
        complaint="road closed by the same flood",
        codes=(_C.HAZARD_AREA, _C.FLOOD_LEVEL),
        question="Is the road to the site open, and is there a second one?",
        gate=Gate.SAFETY,
    ),
    CatalogueCheck(
        number=30,
        complaint="kit not fetched again",
        codes=(_C.RECOVERY_DATE,),
        question="Who fetches the kit, and when?",
        gate=Gate.RECOVERY,
    ),
)


def questions_of(gate: Gate) -> tuple[str, ...]:
    """What a yes to a gate says yes to, beside the gate's own name."""
    return tuple(check.question for check in CHECK_CATALOGUE if check.gate is gate)
