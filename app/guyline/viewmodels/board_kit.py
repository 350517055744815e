"""What the board says of kit and settings over all sites."""

from __future__ import annotations

from collections.abc import Iterable

from guyline.core.plan import SiteId
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.bill_of_materials import BillLine
from guyline.core.readiness.configuration import Configuration
from guyline.core.readiness.finding import Verdict
from guyline.services.wording import counted
from guyline.viewmodels.board_rows import BoardRow, BoardSection
from guyline.viewmodels.entries import Entry


def kit_section(assessment: PlanAssessment) -> BoardSection:
    """What is still to get, a line a kind of thing."""
    short = [line for line in assessment.bill if line.lacking or line.spares_lacking]
    return BoardSection(
        title="Kit still to get" if short else "Kit",
        rows=tuple(map(_short, short)),
        empty="All that the checklists ask for is in hand or in the store, with its spares."
        if assessment.bill
        else "No site has a checklist yet. Each can start from the kit table, under Details.",
    )


def _short(line: BillLine) -> BoardRow:
    open_at = [share for share in line.shares if share.open]
    parts = [
        ", ".join(f"{share.site_id} {share.open}" for share in open_at),
        f"{line.promised_twice} promised twice" if line.promised_twice else "",
        f"{counted(line.spares_lacking, 'spare')} by the rule" if line.spares_lacking else "",
        "" if line.in_stock is None else f"{line.in_stock} in the store",
    ]
    critical = any(share.is_critical for share in open_at)
    site_id = open_at[0].site_id if open_at else None
    return BoardRow(
        verdict=Verdict.NO_GO if critical else Verdict.CONDITIONS,
        head=f"{line.lacking + line.spares_lacking} x {line.name}",
        text="; ".join(part for part in parts if part),
        entry=Entry(path="checklist" if open_at else "stock", site_id=site_id),
    )


def configuration_section(assessment: PlanAssessment) -> BoardSection:
    """Whether every radio is told from every other and set as planned."""
    plan = assessment.plan
    proof = assessment.configuration
    radios = counted(len(plan.sites), "radio")
    return BoardSection(
        title="Settings of the radios",
        rows=() if proof.is_proven else _doubts(proof),
        empty="No radios yet."
        if not plan.sites
        else f"{radios}, no two alike in identifier or name; all read back as planned."
        f"{_hops(proof, plan.radio_profile.hop_limit)}",
    )


def _hops(proof: Configuration, limit: int | None) -> str:
    if limit is None or proof.longest_route == 0:
        return ""
    return f" The longest way takes {proof.longest_route} hops of at most {limit}."


def _doubts(proof: Configuration) -> tuple[BoardRow, ...]:
    same = [
        _row(Verdict.NO_GO, "One identifier for several radios", g, "radio.identifier")
        for g in proof.same
    ]
    alike = [
        *(
            _row(Verdict.CONDITIONS, "Radios easily taken for one another", g, "radio.identifier")
            for g in proof.alike_radios
        ),
        *(
            _row(Verdict.CONDITIONS, "Sites easily taken for one another", g, "name")
            for g in proof.alike_sites
        ),
    ]
    whole = (
        (Verdict.NO_GO, "Not set as planned", proof.differing, "bench.identifier"),
        (Verdict.NOT_ASSESSED, "Identifier not read", proof.unread, "radio.identifier"),
        (Verdict.NOT_ASSESSED, "Settings not read back", proof.not_read_back, "bench.identifier"),
    )
    rows = [_row(verdict, head, sites, path) for verdict, head, sites, path in whole if sites]
    good = len(proof.as_planned)
    if good:
        sites = ", ".join(proof.as_planned)
        rows.append(BoardRow(verdict=Verdict.GO, head=f"{good} read back as planned", text=sites))
    return (*same, *alike, *rows)


def _row(verdict: Verdict, head: str, sites: Iterable[SiteId], path: str) -> BoardRow:
    names = tuple(sites)
    return BoardRow(
        verdict=verdict,
        head=head,
        text=", ".join(names),
        entry=Entry(path=path, site_id=names[0]),
    )
