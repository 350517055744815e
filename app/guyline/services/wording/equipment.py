"""Sentences about antenna and connectors."""

from __future__ import annotations

from collections.abc import Callable

from guyline.core.readiness.finding import Finding, FindingCode, Verdict


def _beam(f: Finding) -> str:
    gain, peak = f.fact("gain"), f.fact("peak")
    where = "under" if f.fact("below") == "yes" else "over"
    if f.verdict is not Verdict.GO:
        return (
            f"{f.far_id} is {where} the antenna's beam: {gain} dBi of {peak} dBi arrive there;"
            f" better: {f.fact('better')}."
        )
    assert f.value is not None
    assert f.limit is not None
    if f.value <= f.limit:
        return f"The antenna's beam meets its neighbours: {gain} dBi toward {f.far_id}."
    return (
        f"{f.far_id} is {where} the antenna's beam, and no antenna listed does better: {gain} dBi."
    )


def _band(f: Finding) -> str:
    if f.verdict is Verdict.GO:
        return f"The antenna is made for {f.fact('band')}, and {f.fact('frequency')} is used."
    return f"The antenna is made for {f.fact('band')}, not for {f.fact('frequency')}."


def _connectors(f: Finding) -> str:
    if f.verdict is Verdict.NOT_ASSESSED:
        return f"The connectors cannot be judged: {f.fact('problem')}"
    false_mates = f.fact("false mates")
    warning = f" Do not force it: {false_mates}." if false_mates else ""
    if f.verdict is Verdict.GO:
        return f"The connectors go together: {f.fact('chain')}.{warning}"
    return f"The connectors do not go together, lacking an adapter {f.fact('lacking')}.{warning}"


SENTENCES: dict[FindingCode, Callable[[Finding], str]] = {
    FindingCode.ANTENNA_BEAM: _beam,
    FindingCode.ANTENNA_BAND: _band,
    FindingCode.CONNECTORS: _connectors,
}
