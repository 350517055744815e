"""Findings about links over drawn ground: clear, narrow, cut, unknown."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.network.link import LinkAssessment, elevation_deg
from guyline.core.plan import (
    Antenna,
    Fact,
    Link,
    Pattern,
    Plan,
    Polarisation,
    Roof,
    Surroundings,
    TerrainSource,
)
from guyline.core.radio.spread import SpreadCause
from guyline.core.readiness.finding import Finding, FindingCode, RemedyAction, Verdict
from guyline.core.readiness.link_checks import link_findings
from guyline.core.readiness.remedy import apply_remedy
from stories import HALL, HILL, SHED, DrawnTerrain, flat_ground, hall_to_hill, ridge, three_sites


def found(plan: Plan, link: LinkAssessment) -> dict[FindingCode, Finding]:
    return {f.code: f for f in link_findings(plan, plan.site(HALL), [link])}


def test_a_clear_link_with_margin_is_go_on_every_count():
    plan = three_sites()
    findings = found(plan, hall_to_hill(plan))
    assert findings[FindingCode.LINK_MARGIN].verdict is Verdict.GO
    assert findings[FindingCode.LINK_CLEARANCE].far_id == HILL


def test_margin_adds_up_to_the_budget_by_hand():
    plan = three_sites()
    link = hall_to_hill(plan)
    assert link.budget is not None
    assert link.path is not None
    assert link.path.loss_db is not None
    # rederived: 14 dBm - 0.1 + 2.15 - loss + 2.15 - 0.1 dB against
    # -174 + 10 log10(125 kHz) + 6 - 15 dB = -132.03 dBm; level ground, so full gain at 0 degrees
    received = 14.0 - 0.1 + 2.15 - link.path.loss_db + 2.15 - 0.1
    sensitivity = -174.0 + 10.0 * np.log10(125e3) + 6.0 - 15.0
    assert link.margin_db == pytest.approx(received - sensitivity, abs=0.01)


def test_a_mismatch_measured_on_the_bench_costs_its_loss_in_both_directions():
    plan = three_sites()
    hill = plan.site(HILL)
    mismatched = plan.with_site(replace(hill, bench=replace(hill.bench, vswr=2.0)))
    matched = plan.with_site(replace(hill, bench=replace(hill.bench, vswr=1.0)))
    lost, whole = hall_to_hill(mismatched), hall_to_hill(matched)
    assert lost.budget is not None
    assert whole.budget is not None
    for way in ("forward", "backward"):
        cost = getattr(whole.budget, way).margin_db - getattr(lost.budget, way).margin_db
        # handbook value: VSWR 2 reflects a ninth of the power, 0.512 dB
        assert cost == pytest.approx(0.512, abs=5e-4)


def test_margin_names_the_end_that_hears_worse():
    plan = three_sites()
    weak = plan.site(HILL)
    plan = plan.with_site(replace(weak, radio=replace(weak.radio, tx_power_dbm=4.0)))
    finding = found(plan, hall_to_hill(plan))[FindingCode.LINK_MARGIN]
    assert finding.fact("talker") == HILL
    assert finding.fact("listener") == HALL
    assert float(finding.fact("forward")) - float(finding.fact("backward")) == pytest.approx(10.0)


def test_a_link_below_the_required_margin_is_no_go_and_its_remedy_is_hall_to_hill():
    plan = three_sites()
    terrain = DrawnTerrain(ridge(40.0))
    first = hall_to_hill(plan, terrain)
    assert first.margin_db is not None
    required = first.margin_db + 3.0
    plan = replace(plan, radio_profile=replace(plan.radio_profile, required_margin_db=required))
    finding = found(plan, first)[FindingCode.LINK_MARGIN]
    assert finding.verdict is Verdict.NO_GO
    assert finding.remedy is not None
    assert finding.remedy.action is RemedyAction.RAISE_ANTENNA
    mended = apply_remedy(plan, finding.remedy)
    again = hall_to_hill(mended, terrain)
    assert again.margin_db is not None
    assert again.margin_db >= required
    # one metre less would not have been enough
    assert finding.remedy.value is not None
    site = replace(mended.site(HALL), antenna_agl_m=finding.remedy.value - 1.0)
    short = hall_to_hill(mended.with_site(site), terrain)
    assert short.margin_db is not None
    assert short.margin_db < required


def test_an_end_with_another_working_link_carries_a_failing_one_as_a_condition():
    plan = three_sites()
    good = hall_to_hill(plan)
    cut = hall_to_hill(plan, DrawnTerrain(ridge(200.0)))
    bad = replace(cut, link=Link(from_id=HALL, to_id=SHED))
    assert good.margin_db is not None
    assert bad.margin_db is not None
    between = (good.margin_db + bad.margin_db) / 2
    plan = replace(plan, radio_profile=replace(plan.radio_profile, required_margin_db=between))
    both = link_findings(plan, plan.site(HALL), [good, bad])
    margins = {f.far_id: f.verdict for f in both if f.code is FindingCode.LINK_MARGIN}
    assert margins == {HILL: Verdict.GO, SHED: Verdict.CONDITIONS}
    alone = link_findings(plan, plan.site(HALL), [bad])
    assert alone[0].verdict is Verdict.NO_GO


def test_where_no_mast_of_reason_helps_moving_is_proposed():
    plan = three_sites()
    plan = replace(plan, radio_profile=replace(plan.radio_profile, required_margin_db=200.0))
    remedy = found(plan, hall_to_hill(plan))[FindingCode.LINK_MARGIN].remedy
    assert remedy is not None
    assert remedy.action is RemedyAction.MOVE
    assert not remedy.is_edit


def test_a_cut_path_with_margin_is_a_condition_to_verify_on_site():
    plan = three_sites()
    finding = found(plan, hall_to_hill(plan, DrawnTerrain(ridge(40.0))))[
        FindingCode.LINK_CLEARANCE
    ]
    assert finding.verdict is Verdict.CONDITIONS
    assert finding.value is not None
    assert finding.value < 0
    assert finding.remedy is not None
    assert finding.remedy.action is RemedyAction.MEASURE


def test_a_void_on_the_way_is_not_assessed():
    def hole(lat_deg: np.ndarray, lon_deg: np.ndarray) -> np.ndarray:
        return np.where(np.abs(lon_deg + 29.99) < 0.001, np.nan, flat_ground(lat_deg, lon_deg))

    plan = three_sites()
    findings = found(plan, hall_to_hill(plan, DrawnTerrain(hole)))
    assert findings.keys() == {FindingCode.LINK_TERRAIN}
    assert findings[FindingCode.LINK_TERRAIN].verdict is Verdict.NOT_ASSESSED
    assert findings[FindingCode.LINK_TERRAIN].fact("voids").startswith("km 0.7 to")


@pytest.mark.parametrize(
    ("part", "field", "name"),
    [
        ("radio", "tx_power_dbm", "transmit power"),
        ("radio", "noise_figure_db", "receiver noise figure"),
        ("antenna", "gain_dbi", "antenna gain"),
        ("feeder", "length_m", "feeder length"),
    ],
)
def test_every_missing_value_makes_the_link_not_assessed_and_is_named(part, field, name):
    plan = three_sites()
    site = plan.site(HILL)
    plan = plan.with_site(replace(site, **{part: replace(getattr(site, part), **{field: None})}))
    link = hall_to_hill(plan)
    assert link.budget is None
    findings = found(plan, link)
    assert findings[FindingCode.LINK_INPUTS].verdict is Verdict.NOT_ASSESSED
    assert name in findings[FindingCode.LINK_INPUTS].fact("missing")


def test_a_site_with_no_link_is_not_assessed():
    plan = three_sites()
    (finding,) = link_findings(plan, plan.site(SHED), [])
    assert finding.verdict is Verdict.NOT_ASSESSED


def test_a_yagi_is_aimed_at_its_only_neighbour_and_must_be_told_with_two():
    plan = three_sites()
    aimed = Antenna(pattern=Pattern.YAGI, gain_dbi=9.0)
    one = hall_to_hill(plan.with_site(replace(plan.site(HALL), antenna=aimed)))
    assert one.budget is not None
    assert one.budget.forward.tx_gain_dbi == pytest.approx(9.0, abs=0.01)
    two = hall_to_hill(plan.with_site(replace(plan.site(HILL), antenna=aimed)))
    assert two.missing == ((HILL, "antenna azimuth"),)


def test_the_surroundings_take_their_loss_once_at_each_end_that_stands_in_them():
    plan = three_sites()
    low = {"antenna_agl_m": 2.0, "surroundings": Surroundings.SUBURB}
    in_suburb = plan.with_site(replace(plan.site(HILL), **low))
    in_open = plan.with_site(replace(plan.site(HILL), antenna_agl_m=2.0))
    open_link, suburb_link = hall_to_hill(in_open), hall_to_hill(in_suburb)
    # handbook values at 868 MHz, 2 m: suburban 18.09 dB, open country 14.97 dB (P.2108-1, 3.1)
    assert [t.loss_db for t in suburb_link.far_terms] == pytest.approx([18.09], abs=0.02)
    assert [t.loss_db for t in open_link.far_terms] == pytest.approx([14.97], abs=0.02)
    assert suburb_link.near_terms == ()  # ten metres up in the open


def test_trees_given_in_metres_replace_the_clutter_of_woodland_and_of_surface_models():
    plan = three_sites()
    wood = {"surroundings": Surroundings.WOODLAND, "antenna_agl_m": 3.0}
    among = hall_to_hill(plan.with_site(replace(plan.site(HILL), **wood)))
    assert [t.source for t in among.far_terms] == ["Rec. ITU-R P.2108-1 section 3.1"]
    behind = hall_to_hill(plan.with_site(replace(plan.site(HILL), **wood, trees_m=50.0)))
    # handbook value: 50 m of wood at 868 MHz, 7.0 dB (P.833 table, interpolated)
    assert [t.source for t in behind.far_terms] == ["Rec. ITU-R P.833-9"]
    assert behind.far_terms[0].loss_db == pytest.approx(7.0, abs=0.05)
    surface = TerrainSource(path="surface.tif", includes_trees=Fact.YES)
    once = replace(plan, terrain_sources=(surface,)).with_site(replace(plan.site(HILL), **wood))
    assert hall_to_hill(once).far_terms == ()


def test_bare_trees_take_less_than_trees_in_leaf_and_unknown_counts_as_in_leaf():
    plan = three_sites()
    plan = plan.with_site(replace(plan.site(HILL), trees_m=80.0))
    losses = {
        leaf: hall_to_hill(replace(plan, trees_in_leaf=leaf)).far_terms[0].loss_db for leaf in Fact
    }
    assert losses[Fact.NO] < losses[Fact.YES] == losses[Fact.UNKNOWN]


def test_a_handheld_in_the_hall_pays_the_building_and_is_less_sure():
    plan = three_sites()
    inside = hall_to_hill(plan.with_site(replace(plan.site(HILL), roof=Roof.ORDINARY)))
    outside = hall_to_hill(plan)
    # handbook value: 14.22 dB at 868 MHz, traditional, level path (P.2109)
    assert inside.far_terms[0].loss_db == pytest.approx(14.22, abs=0.05)
    assert outside.margin_db is not None
    assert inside.margin_db == pytest.approx(outside.margin_db - inside.far_terms[0].loss_db)
    assert inside.spread is not None
    assert outside.spread is not None
    assert inside.spread.sd_db > outside.spread.sd_db


def test_unknown_surroundings_take_no_loss_but_make_the_link_less_sure():
    plan = three_sites()
    unknown = hall_to_hill(
        plan.with_site(replace(plan.site(HILL), surroundings=Surroundings.UNKNOWN))
    )
    known = hall_to_hill(plan)
    assert unknown.margin_db == known.margin_db
    assert unknown.spread is not None
    assert known.spread is not None
    assert unknown.spread.sd_db > known.spread.sd_db


def test_town_noise_raises_the_floor_of_the_end_that_stands_in_it():
    plan = three_sites()
    town = hall_to_hill(
        plan.with_site(
            replace(plan.site(HILL), surroundings=Surroundings.DENSE_TOWN, antenna_agl_m=25.0)
        )
    )
    assert town.budget is not None
    # forward: the hill listens. P.372 business line at 868 MHz gives 8.2 dB; 6 dB receiver: 9.8 dB
    quiet = -174.0 + 10.0 * np.log10(125e3) + 6.0 - 15.0
    assert town.budget.backward.sensitivity_dbm == pytest.approx(quiet, abs=0.01)
    assert town.budget.forward.sensitivity_dbm > quiet + 3.5


def test_on_obstructed_paths_the_link_is_less_likely_and_the_model_is_the_main_doubt():
    plan = three_sites()
    clear, cut = hall_to_hill(plan), hall_to_hill(plan, DrawnTerrain(ridge(60.0)))
    assert clear.probability is not None
    assert cut.probability is not None
    assert cut.probability < clear.probability
    assert cut.spread is not None
    assert cut.spread.shares()[0][0] is SpreadCause.MODEL


def test_the_complete_p1812_agrees_on_short_paths():
    # law: for losses below 165 dB both are free space plus delta-Bullington (0.05 dB of rounding)
    plan = three_sites()
    difference = hall_to_hill(plan, DrawnTerrain(ridge(60.0))).model_difference_db
    assert difference == pytest.approx(0.0, abs=0.1)


def test_turning_a_yagi_away_costs_its_pattern():
    plan = three_sites()
    line = hall_to_hill(plan)
    assert line.azimuth_deg is not None
    away = Antenna(pattern=Pattern.YAGI, gain_dbi=9.0, azimuth_deg=(line.azimuth_deg + 30) % 360)
    turned = hall_to_hill(plan.with_site(replace(plan.site(HALL), antenna=away)))
    assert turned.budget is not None
    # handbook table: F.1336 low-gain pattern of 9 dBi at 30 degrees off: 5.82 dBi
    assert turned.budget.forward.tx_gain_dbi == pytest.approx(5.82, abs=0.02)


def test_crossed_polarisation_costs_15_db():
    plan = three_sites()
    crossed = replace(plan.site(HILL).antenna, polarisation=Polarisation.HORIZONTAL)
    straight, lost = (
        hall_to_hill(plan),
        hall_to_hill(plan.with_site(replace(plan.site(HILL), antenna=crossed))),
    )
    assert straight.margin_db is not None
    assert lost.margin_db == pytest.approx(straight.margin_db - 15.0, abs=1e-6)


@pytest.mark.parametrize(
    ("down_m", "distance_m", "depression_deg"),
    # trade table of depression with curvature
    [(300, 2e3, 8.54), (150, 3e3, 2.87), (550, 10e3, 3.18), (10, 30e3, 0.12)],
)
def test_depression_to_a_lower_site_counts_curvature(down_m, distance_m, depression_deg):
    angle = elevation_deg(distance_m, float(down_m), 0.0, 4 / 3)
    assert -angle == pytest.approx(depression_deg, abs=0.006)


def test_a_long_lossy_feeder_says_what_the_radio_at_the_antenna_would_win():
    # rederived: 10 m of RG-58C/U against half a metre of 6 mm foam, 6.64 dB at 868 MHz
    plan = three_sites()
    hall = plan.site(HALL)
    cable = replace(
        hall.feeder, length_m=10.0, k1_db_per_100ft=0.45322, k2_db_per_100ft=0.00836, joints=2
    )
    changed = plan.with_site(replace(hall, feeder=cable))
    changed = replace(changed, radio_profile=replace(plan.radio_profile, frequency_hz=868e6))
    won = {
        q.name: q.value
        for q in found(changed, hall_to_hill(changed))[FindingCode.LINK_MARGIN].working.inputs
        if "at its antenna would win" in q.name
    }
    assert list(won) == ["the radio of HALL at its antenna would win (not counted)"]
    assert list(won.values()) == pytest.approx([6.64], abs=0.006)
