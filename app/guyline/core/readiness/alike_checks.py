"""Could anybody take one radio or site for another, by eye or by voice?"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from enum import StrEnum

from guyline.core.plan import Gate, Plan, Site, SiteId
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)

_LOOKS_LIKE = str.maketrans({"o": "0", "l": "1", "i": "1", "|": "1"})
TAIL = 4  # displays of the class show the last four signs of an identifier: common practice
LEAST_FIGURES = 5  # our choice: shorter ones are running numbers, whose neighbours are expected


class Likeness(StrEnum):
    """In what two names are alike; the value is what people read."""

    SAME = "the same but for case, signs between, 0 and O, or 1 and l"
    TAIL = "the same in their last four signs"
    SWAPPED = "the same but for two figures that stand the other way round"


def folded(name: str) -> str:
    """A name as a tired eye reads it: no case, no signs between, O as 0, l and I as 1."""
    looks = name.casefold().translate(_LOOKS_LIKE)
    return "".join(sign for sign in looks if sign.isalnum())


def tail(identifier: str) -> str:
    """Last four signs of an identifier that has more, "" where a sign stands between them."""
    end = identifier.strip()[-TAIL:]
    return folded(end) if end.isalnum() and len(folded(identifier)) > TAIL else ""


def swapped(name: str) -> frozenset[str]:
    """Every folded name that two neighbouring figures of this one, exchanged, would give."""
    signs = folded(name)
    if sum(sign.isdigit() for sign in name) < LEAST_FIGURES:
        return frozenset()
    return frozenset(
        signs[:n] + signs[n + 1] + signs[n] + signs[n + 2 :]
        for n in range(len(signs) - 1)
        if signs[n].isdigit() and signs[n + 1].isdigit() and signs[n] != signs[n + 1]
    )


def alike(
    names: Mapping[SiteId, str], *, by_tail: bool
) -> dict[SiteId, tuple[tuple[SiteId, Likeness], ...]]:
    """Sites whose name could be taken for that of another, with those and the likeness."""
    given = {site_id: name for site_id, name in names.items() if folded(name)}
    same = _grouped(given, folded)
    tails = _grouped(given, tail) if by_tail else {}
    found: dict[SiteId, dict[SiteId, Likeness]] = {}
    for site_id, name in given.items():
        others: dict[SiteId, Likeness] = {}
        for mirrored in swapped(name):
            others |= dict.fromkeys(same.get(mirrored, ()), Likeness.SWAPPED)
        others |= dict.fromkeys(tails.get(tail(name), ()), Likeness.TAIL)
        others |= dict.fromkeys(same[folded(name)], Likeness.SAME)
        others.pop(site_id)
        if others:
            found[site_id] = others
    return {site_id: tuple(others.items()) for site_id, others in found.items()}


def _grouped(names: Mapping[SiteId, str], key_of: Callable[[str], str]) -> dict[str, list[SiteId]]:
    groups: dict[str, list[SiteId]] = {}
    for site_id, name in names.items():
        if key := key_of(name):
            groups.setdefault(key, []).append(site_id)
    return groups


def alike_findings(plan: Plan) -> tuple[Finding, ...]:
    """Radios and sites that could be taken for one another; () where none could.

    Identifiers that are equal but for case are not told here: `RADIO_IDENTIFIER` refuses them.
    """
    identifiers = {site.site_id: site.radio.identifier for site in plan.sites}
    radios = {
        site_id: tuple(
            (other, likeness)
            for other, likeness in others
            if _plain(identifiers[other]) != _plain(identifiers[site_id])
        )
        for site_id, others in alike(identifiers, by_tail=True).items()
    }
    by_id = alike({site.site_id: str(site.site_id) for site in plan.sites}, by_tail=False)
    by_name = alike({site.site_id: site.name for site in plan.sites}, by_tail=False)
    sites = {
        site_id: _both(by_id.get(site_id), by_name.get(site_id)) for site_id in by_id | by_name
    }
    return (
        *_findings(plan, radios, FindingCode.RADIO_ALIKE, lambda site: site.radio.identifier),
        *_findings(plan, sites, FindingCode.SITE_ALIKE, _site_words),
    )


def _plain(identifier: str) -> str:
    return identifier.strip().casefold()


_Others = tuple[tuple[SiteId, Likeness], ...]


def _both(first: _Others | None, second: _Others | None) -> _Others:
    return tuple({**dict(second or ()), **dict(first or ())}.items())


def _site_words(site: Site) -> str:
    return f"{site.site_id} {site.name}".strip()


def _findings(
    plan: Plan,
    found: Mapping[SiteId, _Others],
    code: FindingCode,
    name_of: Callable[[Site], str],
) -> Iterable[Finding]:
    by_id = {site.site_id: site for site in plan.sites}
    for site_id, others in found.items():
        if others:
            yield _finding(code, by_id[site_id], others, name_of, by_id)


def _finding(
    code: FindingCode,
    site: Site,
    others: _Others,
    name_of: Callable[[Site], str],
    by_id: Mapping[SiteId, Site],
) -> Finding:
    is_radio = code is FindingCode.RADIO_ALIKE
    return Finding(
        code=code,
        gate=Gate.BENCH_TEST,
        site_id=site.site_id,
        verdict=Verdict.CONDITIONS,
        quantity="radios with a like identifier" if is_radio else "sites with a like name",
        value=float(len(others)),
        limit=0.0,
        comparison=Comparison.AT_MOST,
        facts=(
            ("own", name_of(site)),
            ("others", "; ".join(f"{name_of(by_id[o])} ({likeness})" for o, likeness in others)),
        ),
        evidence="plan",
        working=Working(
            formula="differs from every other by more than case, signs between, 0 and O, 1 and l,"
            " two exchanged figures" + (", and in the last four signs" if is_radio else ""),
            inputs=(
                Quantity(name="own", value=name_of(site), source="plan"),
                *(Quantity(name=str(likeness), value=name_of(by_id[o])) for o, likeness in others),
            ),
            source="common practice, no source",
        ),
        remedy=Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="an identifier that nobody takes for another"
            if is_radio
            else "a name that nobody takes for another",
        ),
    )
