"""Sentences about power."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Finding, FindingCode, Remedy, RemedyAction, Verdict

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


def _inputs(f: Finding) -> str:
    return f"The power budget is unknown until these are entered: {f.fact('missing')}."


def _source(f: Finding) -> str:
    if f.verdict is Verdict.NOT_ASSESSED:
        return "How the site is fed is unknown."
    if f.fact("turns"):
        return f"Mains without a battery, {float(f.fact('turns')):g} h a day: off the rest of it."
    if f.limit:
        return f"Mains without a battery: off the air when mains fails; {f.limit:g} h are needed."
    return "Mains without a battery: the site is off the air as soon as mains fails."


def _balance(f: Finding) -> str:
    month = _MONTHS[int(f.fact("month")) - 1]
    start = (
        f"The panel brings {f.value:.1f} Wh/day in {month}; the site needs {f.fact('load')} Wh/day"
    )
    if f.fact("shortfall") != "0.0":
        survives = f.fact("survives") == "yes"
        held = ", which the battery makes up for in this mission" if survives else ""
        return f"{start}: {f.fact('shortfall')} Wh/day are missing{held}."
    if f.verdict is Verdict.GO:
        return f"{start}."
    return f"{start}: enough, but less than the {f.limit:.1f} Wh/day that leave a reserve."


def _days(f: Finding) -> str:
    start = f"The battery carries the site for {f.value:.1f} days without sun"
    return f"{start}." if f.verdict is Verdict.GO else f"{start}; {f.limit:g} are asked for."


def _survival(f: Finding) -> str:
    days = f.fact("days")
    if f.verdict is Verdict.GO:
        return f"{_percent(f.value)} chance of {days} days without an outage."
    return (
        f"{_percent(f.value)} chance of {days} days without an outage; {f.limit:g} % is asked for."
    )


def _percent(value: float | None) -> str:
    if value is None:
        return "An unknown"
    if value >= 99.95:
        return "Over 99.9 %"
    return f"{value:.1f} %" if value > 99.0 else f"{value:.0f} %"


def _hours(value: float | None) -> str:
    if value is None:
        return "an unknown time"
    return f"{value:.0f} h" if value < 72.0 else f"{value / 24.0:.1f} days"


def _backup(f: Finding) -> str:
    turns, chance, swap = f.fact("turns"), f.fact("chance"), f.fact("swap")
    what = "battery and panel last" if f.fact("sun") else "the battery lasts"
    start = f"Without mains {what} {_hours(f.value)}"
    if f.verdict is Verdict.CONDITIONS and swap and not chance:
        return f"{start} of {_hours(f.limit)}: swap it every {swap} days, as promised."
    odds = f"{chance or '0'} % chance of no outage"
    if turns and f.verdict is not Verdict.GO:
        odds = f"; with mains {float(turns):g} h a day {odds}"
    else:
        odds = f"; {odds}" if chance else ""
    return f"{start}; {_hours(f.limit)} are needed{odds}."


def _life(f: Finding) -> str:
    start = f"The battery lasts {f.value:.1f} days"
    if f.verdict is Verdict.GO:
        return f"{start}; the mission takes {f.limit:.0f}."
    if f.verdict is Verdict.CONDITIONS:
        return f"{start} of {f.limit:.0f}: swap it every {f.fact('swap')} days, as promised."
    return f"{start}; the mission takes {f.limit:.0f}: {f.fact('shortfall')} Wh/day are missing."


def _tested(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return "The capacity of the battery was tested."
    assumed = f.fact("assumed")
    counted = f"; {assumed} % of its label is counted" if assumed else ""
    word = "was not tested" if f.fact("tested") == "no" else "may be untested"
    return f"The battery {word}{counted}."


def _cold(f: Finding) -> str:
    chemistry = f.fact("chemistry")
    if f.verdict is Verdict.NO_GO:
        return f"The battery is {chemistry} and cannot be charged by a panel."
    if f.verdict is Verdict.GO:
        return f"The battery stays at {f.value:g} °C or more and can be charged."
    cold = f"The battery may cool to {f.value:g} °C"
    return f"{cold}; {chemistry} takes no charge below {f.limit:g} °C."


def _cut_off(f: Finding) -> str:
    off, on = f.fact("off"), f.fact("on")
    return {
        "": f"The battery is cut off at {off} V and comes back at {on} V.",
        "missing": "Where the battery is cut off, and where it comes back, is unknown.",
        "above full": f"The cut-off at {off} V is above what a full battery shows at rest:"
        " the site would be off at once.",
        "below empty": f"The cut-off at {off} V is below what an empty battery shows: it does not"
        " save the battery.",
        "reversed": f"The battery comes back at {on} V, not above its cut-off at {off} V.",
        "out of reach": f"The battery comes back only at {on} V, which a full one hardly reaches:"
        " once cut off, the site stays off.",
    }[f.fact("state")]


def _panel_aim(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"The panel faces the noon sun in the {f.fact('side')} within {f.value:.0f}°."
    return f"The panel turns its back on the noon sun, which stands in the {f.fact('side')}."


def _socket(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return "Nobody can switch the socket off, and a residual-current device protects it."
    words = {"yes": "", "no": "not ", "unknown": "perhaps not "}
    parts = []
    if f.fact("unswitched") != "yes":
        parts.append(f"{words[f.fact('unswitched')]}safe from being switched off")
    if f.fact("rcd") != "yes":
        parts.append(f"{words[f.fact('rcd')]}behind a residual-current device")
    return f"The mains socket is {' and '.join(parts)}."


def _bank(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"The load of {f.value:.0f} mA keeps the power bank on."
    return (
        f"The load is only {f.value:.0f} mA: many power banks switch off below {f.limit:.0f} mA"
        " and do not come back by themselves."
    )


def _fuel(f: Finding) -> str:
    if float(f.fact("hours")) > 24.0:
        return "The charger is too weak: the generator would have to run more than 24 h a day."
    use = f"{f.fact('per day')} L/day in {f.fact('hours')} h of running"
    start = f"The fuel lasts {f.value:.1f} days at {use}"
    if f.verdict is Verdict.CONDITIONS:
        return f"{start}: refuel every {f.fact('visit')} days, as promised."
    return f"{start}; the mission takes {f.limit:.0f}."


SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    FindingCode.POWER_INPUTS: _inputs,
    FindingCode.POWER_SOURCE: _source,
    FindingCode.SOLAR_BALANCE: _balance,
    FindingCode.DAYS_WITHOUT_SUN: _days,
    FindingCode.SURVIVAL: _survival,
    FindingCode.BACKUP: _backup,
    FindingCode.BATTERY_LIFE: _life,
    FindingCode.BATTERY_TESTED: _tested,
    FindingCode.COLD_CHARGING: _cold,
    FindingCode.BATTERY_CUT_OFF: _cut_off,
    FindingCode.PANEL_AIM: _panel_aim,
    FindingCode.MAINS_SOCKET: _socket,
    FindingCode.POWER_BANK: _bank,
    FindingCode.FUEL: _fuel,
}


def _check(remedy: Remedy) -> str:
    verb = "Find out" if remedy.action is RemedyAction.MEASURE else "Get"
    return f"{verb} {remedy.what}."


def _survival_remedy(remedy: Remedy) -> str:
    if remedy.action is RemedyAction.MOVE:
        return f"Move {remedy.what}."
    if remedy.action is RemedyAction.LARGER_PANEL:
        return f"Use a panel of {remedy.value:g} W."
    if remedy.action is RemedyAction.LARGER_BATTERY:
        return f"Use a battery of {remedy.value:g} Wh."
    return f"Get {remedy.what}."


REMEDIES: dict[FindingCode, Callable[[Remedy], str]] = {
    FindingCode.SURVIVAL: _survival_remedy,
    FindingCode.MAINS_SOCKET: _check,
    FindingCode.POWER_BANK: _check,
}
