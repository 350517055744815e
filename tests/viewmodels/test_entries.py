"""Every finding that is not as it should be leads to the place where it is answered."""

from __future__ import annotations

import pytest

from guyline.core.plan import Gate, SiteId
from guyline.core.readiness.finding import Finding, FindingCode, Remedy, RemedyAction, Verdict
from guyline.viewmodels.entries import GATE_RECORDS, PLACES, Entry, entry_of
from guyline.viewmodels.plan_fields import PLAN_GROUPS
from guyline.viewmodels.record_lists import PLAN_LISTS, SITE_LISTS
from guyline.viewmodels.site_fields import SITE_FIELDS
from stories import HALL, HILL

FIELDS = {field.path for group in PLAN_GROUPS for field in group.fields} | set(SITE_FIELDS)
LISTS = {kind.path for kind in (*SITE_LISTS, *PLAN_LISTS)}
FACTS = {
    FindingCode.REACH: (("waits_for", ""),),
    FindingCode.READ_BACK: (("wrong", "frequency 915 MHz, planned 869.525 MHz"),),
}


def finding(code: FindingCode, verdict: Verdict = Verdict.NO_GO, **more: object) -> Finding:
    return Finding(
        code=code,
        gate=Gate.SAFETY,
        site_id=HILL,
        verdict=verdict,
        quantity="x",
        facts=FACTS.get(code, ()),
        **more,  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("code", FindingCode)
def test_every_finding_that_is_not_go_has_a_place_of_the_forms(code: FindingCode) -> None:
    entry = entry_of(finding(code))
    assert entry is not None
    assert entry.path in FIELDS | LISTS
    assert entry.site_id == HILL


@pytest.mark.parametrize("code", FindingCode)
def test_what_is_as_it_should_be_asks_for_nothing(code: FindingCode) -> None:
    assert entry_of(finding(code, Verdict.GO)) is None


@pytest.mark.parametrize("path", sorted(set(PLACES.values())))
def test_every_place_named_is_a_field_or_a_list(path: str) -> None:
    assert path in FIELDS | LISTS


def test_an_answer_and_an_owner_lead_to_the_row_of_their_gate() -> None:
    answer = entry_of(finding(FindingCode.GATE_ANSWER))
    owner = entry_of(finding(FindingCode.CONDITION_OWNER))
    assert answer == Entry(path=GATE_RECORDS, site_id=HILL, row="safety and crew", cell="answer")
    assert owner == Entry(path=GATE_RECORDS, site_id=HILL, row="safety and crew", cell="owner")


def test_what_is_unknown_of_the_far_end_is_entered_there() -> None:
    remedy = Remedy(
        action=RemedyAction.ENTER, site_id=HILL, what="antenna height of HALL, feeder length"
    )
    entry = entry_of(finding(FindingCode.LINK_INPUTS, remedy=remedy))
    assert entry == Entry(path="antenna_agl_m", site_id=HALL)


def test_a_way_that_waits_for_a_site_leads_to_that_site() -> None:
    waiting = Finding(
        code=FindingCode.REACH,
        gate=Gate.NETWORK,
        site_id=HILL,
        verdict=Verdict.CONDITIONS,
        quantity="way",
        facts=(("waits_for", "HALL, SHED"),),
    )
    assert entry_of(waiting) == Entry(path="", site_id=SiteId("HALL"))


def test_a_setting_that_was_read_back_wrong_leads_to_that_setting() -> None:
    entry = entry_of(finding(FindingCode.READ_BACK))
    assert entry is not None
    assert entry.path == "bench.frequency_hz"


def test_what_is_missing_of_the_mast_leads_to_its_field() -> None:
    remedy = Remedy(action=RemedyAction.ENTER, site_id=HILL, what="diameter of the mast, x")
    entry = entry_of(finding(FindingCode.MAST_WIND, remedy=remedy))
    assert entry == Entry(path="mast.diameter_m", site_id=HILL)


def test_a_hazard_that_nobody_marked_leads_to_its_box() -> None:
    remedy = Remedy(action=RemedyAction.ENTER, site_id=HILL, what="the hazard: flood water")
    entry = entry_of(finding(FindingCode.HAZARD_AREA, remedy=remedy))
    assert entry == Entry(path="hazards", site_id=HILL, row="flood water")
