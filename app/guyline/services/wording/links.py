"""Sentences about links and radio rules."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.services.wording.numbers import percent, shortened


def _no_link(f: Finding) -> str:
    return "No link of this site is listed to prove."


def _inputs(f: Finding) -> str:
    return f"The link to {f.far_id} cannot be judged: unknown {shortened(f.fact('missing'))}."


def _terrain(f: Finding) -> str:
    voids = f.fact("voids")
    where = f" ({voids} from {f.fact('from')})" if voids else ""
    return f"The link to {f.far_id} cannot be judged: no terrain data on the way{where}."


def _margin(f: Finding) -> str:
    assert f.value is not None
    assert f.limit is not None
    assert f.margin is not None
    words = f"Link to {f.far_id}: margin {f.value:.1f} dB, {f.limit:.0f} dB needed"
    if f.verdict is Verdict.GO:
        return words + "."
    weak = f"{f.fact('listener')} hears {f.fact('talker')} at {f.fact('received')} dBm"
    return (
        f"{words}, {-f.margin:.1f} dB missing ({weak}, sensitivity {f.fact('sensitivity')} dBm)."
    )


def _probability(f: Finding) -> str:
    assert f.value is not None
    words = f"Link to {f.far_id} works with a probability of {percent(f.value / 100.0)}"
    band = f"margin {f.fact('low')} to {f.fact('high')} dB in nine cases of ten"
    if f.verdict is Verdict.GO:
        return f"{words} ({band})."
    return f"{words} ({band}; most unsure: {f.fact('cause')}); verify on site."


def _clearance(f: Finding) -> str:
    assert f.value is not None
    clearance, missing, at = f.fact("clearance"), f.fact("missing"), f.fact("at")
    if f.verdict is Verdict.GO:
        return (
            f"Path to {f.far_id} is clear: {clearance} m above {_what_stands(f)} at its"
            f" narrowest, km {at}."
        )
    if f.fact("inside_error") == "yes":
        return (
            f"Path to {f.far_id}: the clearance of {clearance} m at km {at} is inside the height"
            " error of the terrain data."
        )
    if f.value < 0:
        return (
            f"Path to {f.far_id} is cut by {-float(clearance):.0f} m of {_what_cuts(f)} at"
            f" km {at};"
            " the margin is computed for that, but such links vary: verify on site."
        )
    return (
        f"Path to {f.far_id} is narrow: {clearance} m at km {at}, {missing} m short of"
        " 0.6 of the first Fresnel zone; verify on site."
    )


def _reading(f: Finding) -> str:
    ways = "; ".join(_way_read(f, str(i)) for i in range(int(f.fact("count"))))
    day = "" if f.evidence_on is None else f" on {f.evidence_on:%d %b %Y}"
    margin = "no level" if f.value is None else f"margin {f.value:.1f} dB, {f.limit:.0f} dB needed"
    talker = f.fact("unread")
    gaps = [f"the other direction, from {talker}, is not read yet"] if talker else []
    if f.fact("unsigned") == "yes":
        gaps.append("a reading lacks name or date")
    gap = "; ".join(gaps)
    left = f" {gap[:1].upper()}{gap[1:]}." if gaps else ""
    return f"Link to {f.far_id} as read{day}: {margin} ({ways}).{left}"


def _way_read(f: Finding, n: str) -> str:
    words = f"{f.fact('listener' + n)} heard {f.fact('talker' + n)}"
    level, snr = f.fact("level" + n), f.fact("snr" + n)
    difference, packets = f.fact("difference" + n), f.fact("packets" + n)
    parts = [f"at {level} dBm"] if level else []
    parts += [f"{difference} dB to the plan"] if difference else []
    parts += [f"SNR {snr} dB"] if snr else []
    few = ", too few" if f.fact("enough" + n) == "no" else ""
    parts += [f"{packets.replace('/', ' of ')} packets{few}"] if packets else []
    return " ".join((words, ", ".join(parts))).strip()


def _what_stands(f: Finding) -> str:
    return "the trees or houses" if f.fact("clutter") else "the ground"


def _what_cuts(f: Finding) -> str:
    height = f.fact("clutter")
    return f"ground with {height} m of trees or houses on it" if height else "ground"


def _radiated(f: Finding) -> str:
    if not f.fact("rule"):
        return "Radiated power: limit not entered."
    if f.value is None:
        return f"Radiated power is unknown; the entered limit is {f.limit:.1f} {f.unit}."
    within = "within" if f.verdict is Verdict.GO else "over"
    return (
        f"Radiated power {f.value:.1f} {f.unit}, {within} the entered limit of {f.limit:.1f}"
        f" ({f.fact('rule')}); confirm with your regulator."
    )


def _duty(f: Finding) -> str:
    if f.value is None:
        return f"Duty cycle is unknown; the entered limit is {f.limit:g} %."
    within = "within" if f.verdict is Verdict.GO else "over"
    return (
        f"Duty cycle {f.value:.2f} % in the busiest hour of a day, {within} the entered limit of"
        f" {f.limit:g} %."
    )


def _rule_limit(f: Finding) -> str:
    name = f.quantity[:1].upper() + f.quantity[1:]
    rule = f.fact("rule")
    limit = f"the entered limit of {f.limit:.4g} {f.unit} ({rule})"
    if f.value is None:
        return f"{name} is unknown; {limit}."
    if f.limit == 0.0:  # the edges of a band
        where = "inside" if f.verdict is Verdict.GO else f"{f.value:.4g} {f.unit} beyond"
        return (
            f"The signal lies {where} the band of the rule ({rule}); confirm with your regulator."
        )
    within = "within" if f.verdict is Verdict.GO else "over"
    return f"{name}: {f.value:.4g} {f.unit}, {within} {limit}; confirm with your regulator."


def _listening(f: Finding) -> str:
    state = {
        "yes": "this radio does",
        "no": "this radio does not",
        "unknown": "nobody has entered whether this radio does",
    }[f.fact("listens")]
    return f"The rule asks radios to listen before they talk; {state} ({f.fact('rule')})."


def _exposure(f: Finding) -> str:
    return f"Keep {f.value:g} m from the antenna while it transmits."


def _routed(f: Finding) -> str:
    words = f"The needs make this site send {f.value:.0f} packets an hour"
    if f.verdict is Verdict.GO:
        return f"{words}; {f.limit:.0f} are entered."
    return (
        f"{words}, but only {f.limit:.0f} are entered: power and duty cycle are reckoned too low."
    )


def _busy_hour(f: Finding) -> str:
    within = "within" if f.verdict is Verdict.GO else "over"
    return (
        f"In its busiest hour of a day this site sends {f.value:.0f} s with what it relays,"
        f" {within} the entered limit of {f.limit:.0f} s ({f.fact('rule')})."
    )


SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    FindingCode.NO_LINK: _no_link,
    FindingCode.LINK_INPUTS: _inputs,
    FindingCode.LINK_TERRAIN: _terrain,
    FindingCode.LINK_MARGIN: _margin,
    FindingCode.LINK_PROBABILITY: _probability,
    FindingCode.LINK_CLEARANCE: _clearance,
    FindingCode.LINK_READING: _reading,
    FindingCode.RADIATED_POWER: _radiated,
    FindingCode.DUTY_CYCLE: _duty,
    FindingCode.RULE_LIMIT: _rule_limit,
    FindingCode.LISTENING: _listening,
    FindingCode.EXPOSURE: _exposure,
    FindingCode.ROUTED_TRAFFIC: _routed,
    FindingCode.BUSY_HOUR: _busy_hour,
}
