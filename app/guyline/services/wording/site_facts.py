"""Sentences about place, kit, permission, people's answers and the network."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.services.wording.numbers import shortened


def _position(f: Finding) -> str:
    return "The position is unknown."


def _uncertainty(f: Finding) -> str:
    if f.value is None:
        return "How far the position may be off is unknown."
    if f.verdict is Verdict.GO:
        return f"Position known to {f.value:.0f} m."
    return f"The position may be off by {f.value:.0f} m; {f.limit:.0f} m is the most."


def _ground(f: Finding) -> str:
    if f.verdict is Verdict.NOT_ASSESSED:
        return "No terrain data at this site: its ground height is unknown."
    ground = f.fact("ground")
    if f.value is None:
        return f"Ground {ground} m above sea level from terrain data."
    if f.verdict is Verdict.GO:
        return (
            f"Ground {ground} m above sea level; the entered height fits within {f.value:.0f} m."
        )
    return (
        f"The entered height of {f.fact('entered')} m differs by {f.value:.0f} m from the terrain"
        f" data ({ground} m): wrong place, or another datum?"
    )


def _hazard_area(f: Finding) -> str:
    kind, source = f.fact("kind"), f.fact("source")
    area = f"the {kind} area {f.fact('area')}" if f.fact("area") else f"a {kind} area"
    return {
        "unknown": f"Whether the site lies in a {kind} area is unknown: {source} cannot be read.",
        "site": f"The site lies in {area} ({source}).",
        "way": f"Every known track to the site leads through {area} ({source}).",
        "clear": f"No {kind} area covers the site ({source}).",
    }[f.fact("where")]


def _kit_list(f: Finding) -> str:
    return "No hardware is listed for this site."


def _critical(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"All {f.limit:.0f} critical items are in hand."
    return f"Critical kit is missing: {f.fact('lacking')}."


def _other(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"All {f.limit:.0f} other items are in hand."
    return f"Still to get: {f.fact('lacking')}."


def _identifier(f: Finding) -> str:
    if f.fact("twins"):
        return f"Radio identifier {f.fact('identifier')} is also used at {f.fact('twins')}."
    if not f.fact("identifier"):
        return "The radio's identifier has not been read."
    return f"Radio identifier {f.fact('identifier')} is unique in the plan."


def _permission(f: Finding) -> str:
    by = f" by {f.fact('by')}" if f.fact("by") else ""
    if f.fact("granted") == "no":
        return f"Permission was refused{by}."
    if f.fact("granted") == "unknown":
        return "Nobody has given permission yet, as far as the plan knows."
    if f.verdict is Verdict.GO:
        return f"Permission granted in writing{by}."
    return f"Permission granted{by}, but only by word of mouth."


def _expiry(f: Finding) -> str:
    if not f.fact("expires"):
        return "The permission has no end date on record."
    if f.value is None:
        return f"Permission ends on {f.fact('expires')}; the mission dates are unknown."
    if f.value < 0:
        return f"The permission ended on {f.fact('expires')}, before the mission starts."
    if f.verdict is Verdict.GO:
        return f"Permission lasts to {f.fact('expires')}, past the end of the mission."
    return f"The permission ends on {f.fact('expires')}, during the mission."


def _key_holder(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"Key or gate code: {f.fact('holder')}."
    return "Nobody is named who has the key or the gate code."


def _recovery(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"The kit is fetched by {f.fact('owner')} on {f.fact('due')}."
    return "Nobody is named who fetches the kit on a day."


def _answer(f: Finding) -> str:
    gate = f.fact("gate")
    named = gate[:1].upper() + gate[1:]
    by = f" by {f.fact('by')}" if f.fact("by") else ""
    return {
        "yes": f"{named}: answered yes{by}.",
        "no": f"{named}: answered no{by}.",
        "unknown": f"{named}: nobody has answered for it.",
        "unsigned": f"{named}: a yes without name or date counts for nothing.",
        "expired": f"{named}: the answer{by} expires before the mission starts.",
        "stale": f"{named}: the answer{by} will be {f.value or 0:.0f} days old on the first day.",
    }[f.fact("state")]


def _owner(f: Finding) -> str:
    return f"Nobody sees to the conditions of {f.fact('gate')} by a date."


def _reach(f: Finding) -> str:
    goal = f.fact("goal")
    if f.verdict is Verdict.NO_GO:
        return f"No way to {goal} over links that keep their margin."
    if f.verdict is Verdict.NOT_ASSESSED and not f.fact("route"):
        return f"No link is listed over which the site could reach {goal}."
    if f.verdict is Verdict.NOT_ASSESSED:
        return f"The way to {goal} hangs on links that are not proven yet ({f.fact('route')})."
    if f.verdict is Verdict.GO:
        return f"Reaches {goal}: {f.fact('route')}."
    return f"Reaches {goal} only over {f.fact('waits_for')}, not ready yet ({f.fact('route')})."


def _flood(f: Finding) -> str:
    if f.value is None:
        return "How far the site is above the flood is unknown."
    if f.value < 0:
        return f"The water comes {-f.value:.1f} m above the ground of the site."
    if f.verdict is Verdict.GO:
        return f"The ground is {f.value:.1f} m above the flood level."
    return f"The ground is only {f.value:.1f} m above the flood level; {f.limit} m are asked for."


def _wind(f: Finding) -> str:
    if f.verdict is Verdict.NOT_ASSESSED:
        return f"Whether the mast stands in the wind is unknown: {shortened(f.fact('missing'))}."
    words = (
        f"A gust of {f.fact('gust')} m/s turns the mast with {f.value:.0f} N m; it holds"
        f" {f.limit:.0f} N m, up to {f.fact('falls')} m/s"
    )
    return f"{words}." if f.verdict is Verdict.GO else f"{words}: guy it or take it down."


SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    FindingCode.POSITION: _position,
    FindingCode.POSITION_UNCERTAINTY: _uncertainty,
    FindingCode.GROUND_HEIGHT: _ground,
    FindingCode.HAZARD_AREA: _hazard_area,
    FindingCode.FLOOD_LEVEL: _flood,
    FindingCode.MAST_WIND: _wind,
    FindingCode.KIT_LIST: _kit_list,
    FindingCode.CRITICAL_KIT: _critical,
    FindingCode.OTHER_KIT: _other,
    FindingCode.RADIO_IDENTIFIER: _identifier,
    FindingCode.PERMISSION: _permission,
    FindingCode.PERMISSION_EXPIRY: _expiry,
    FindingCode.KEY_HOLDER: _key_holder,
    FindingCode.GATE_ANSWER: _answer,
    FindingCode.RECOVERY_DATE: _recovery,
    FindingCode.CONDITION_OWNER: _owner,
    FindingCode.REACH: _reach,
}
