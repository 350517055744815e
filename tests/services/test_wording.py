"""Every finding has words, and the decision line says what stands in the way."""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Antenna, Fact, Feeder, Permission, Plan, PowerSystem, Radio, Site
from guyline.core.readiness.finding import FindingCode, RemedyAction, Verdict
from guyline.services.assessment import Assessor
from guyline.services.wording import SENTENCES, decision_line, remedy_sentence, sentence, title
from guyline.services.wording.remedies import REMEDIES
from stories import HALL, HILL, DrawnTerrain, three_sites


def test_every_code_has_a_sentence_and_every_action_words():
    assert set(SENTENCES) == set(FindingCode)
    assert set(REMEDIES) == set(RemedyAction)


parts = {
    "position": st.none(),
    "antenna_agl_m": st.sampled_from([None, 1.0, 8.0]),
    "radio": st.just(Radio()),
    "antenna": st.just(Antenna()),
    "feeder": st.just(Feeder()),
    "power": st.just(PowerSystem()),
    "checklist": st.just(()),
    "permission": st.sampled_from(
        [Permission(is_granted=a, is_written=b) for a in Fact for b in Fact]
    ),
    "packets_per_hour": st.sampled_from([None, 5000.0]),
    "ground_amsl_m": st.sampled_from([None, 21.0, 900.0]),
}


@given(
    changes=st.fixed_dictionaries({}, optional=parts),
    has_rule=st.booleans(),
    required=st.sampled_from([10.0, 90.0]),
)
def test_whatever_is_missing_or_wrong_is_said_in_whole_sentences(changes, has_rule, required):
    plan = three_sites()
    plan = replace(
        plan.with_site(replace(plan.site(HILL), **changes)),
        radio_rule=plan.radio_rule if has_rule else None,
        radio_profile=replace(plan.radio_profile, required_margin_db=required),
    )
    for site in Assessor(DrawnTerrain()).assess(plan).sites:
        for finding in site.findings:
            assert re.fullmatch(r"[A-Z].*[.?]", sentence(finding)), sentence(finding)
            assert "None" not in sentence(finding)
            assert "nan" not in sentence(finding)
            assert title(finding)
            if finding.verdict is Verdict.GO:
                continue
            assert re.fullmatch(r"[A-Z].*[.?]", remedy_sentence(finding)), finding


def test_decision_line_counts_needs_power_and_names_the_first_blocker():
    plan = three_sites()
    dark = replace(plan.site(HALL), power=PowerSystem())
    refused = replace(plan.site(HILL), permission=Permission(is_granted=Fact.NO))
    line = decision_line(Assessor(DrawnTerrain()).assess(plan.with_sites([dark, refused])))
    assert line.startswith("If we go today: 0 of 1 need met.")
    assert "Power of 1 site is unknown." in line
    assert "First blocker: HILL: Permission was refused." in line


def test_decision_line_of_a_ready_plan_says_so():
    line = decision_line(Assessor(DrawnTerrain()).assess(three_sites()))
    assert line == "If we go today: 1 of 1 need met. Every site is GO."


def test_decision_line_of_an_empty_plan_says_what_to_do_first():
    line = decision_line(Assessor(DrawnTerrain()).assess(Plan()))
    assert line == "No sites yet. Add the first place that must be reached."
    bare = Assessor(DrawnTerrain()).assess(Plan(sites=(Site(site_id=HALL),)))
    assert "no needs are entered yet" in decision_line(bare)
