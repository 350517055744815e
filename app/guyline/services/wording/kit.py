"""Sentences about kit, store and bench."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Finding, FindingCode, Verdict


def _spare_fuses(f: Finding) -> str:
    form = f.fact("form")
    if f.verdict is Verdict.GO:
        return f"Spares go along for each form of fuse ({f.value or 0:.0f} x {form})."
    return f"{f.value or 0:.0f} spares are listed for {form}; {f.limit or 0:.0f} must go along."


def _tape(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return "Tape for the connectors goes along."
    return "No tape for the connectors is listed, and they stand in the rain."


def _serial(f: Finding) -> str:
    thing = f.fact("item")
    named = thing[:1].upper() + thing[1:]
    return f"{named} {f.fact('serial')} is also put aside for {f.fact('others')}."


def _stock(f: Finding) -> str:
    thing = f.fact("item")
    named = thing[:1].upper() + thing[1:]
    return (
        f"{named}: {f.value or 0:.0f} are promised ({f.fact('shares')}), and the store has"
        f" {f.limit or 0:.0f}."
    )


def _radio_alike(f: Finding) -> str:
    return f"Radio identifier {f.fact('own')} is easily taken for {f.fact('others')}."


def _site_alike(f: Finding) -> str:
    return f"Site {f.fact('own')} is easily taken for {f.fact('others')}."


def _read_back(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"Settings read back from the radio are those of the plan ({f.fact('read')})."
    return f"The radio is not set as planned: {f.fact('wrong')}."


def _vswr(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"VSWR on the bench {f.value:.1f}, at most {f.limit:.0f}."
    return f"VSWR on the bench {f.value:.1f}: at most {f.limit:.0f} is sound."


def _soak(f: Finding) -> str:
    start = f"Ran {f.value:.0f} h on the bench without a fault"
    return f"{start}." if f.verdict is Verdict.GO else f"{start}; {f.limit:.0f} h are asked for."


SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    FindingCode.SPARE_FUSES: _spare_fuses,
    FindingCode.CONNECTOR_TAPE: _tape,
    FindingCode.PROMISED_SERIAL: _serial,
    FindingCode.PROMISED_STOCK: _stock,
    FindingCode.RADIO_ALIKE: _radio_alike,
    FindingCode.SITE_ALIKE: _site_alike,
    FindingCode.READ_BACK: _read_back,
    FindingCode.VSWR: _vswr,
    FindingCode.SOAK: _soak,
}
