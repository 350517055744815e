"""The days of the mission as the assessment has them."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from guyline.core.network.effect import NetworkAssessment, NetworkDay
from guyline.core.network.link import LinkAssessment
from guyline.core.plan import Gate, Incident, Link, Need, Plan, PowerSource, Site, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.radio.link_budget import Terminal, link_budget
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.core.readiness.site_verdict import combine
from guyline.services.wording import percent
from guyline.viewmodels.days_view import NO_MISSION, NO_SITES, UNKNOWN, days_view

A, B, C = SiteId("A"), SiteId("B"), SiteId("C")


def assessed(site_id: SiteId, alive: tuple[float, ...]) -> SiteAssessment:
    go = Finding(
        code=FindingCode.POSITION,
        gate=Gate.NEED,
        site_id=site_id,
        verdict=Verdict.GO,
        quantity="position",
    )
    power = PowerAssessment(site_id=site_id, source=PowerSource.SOLAR, alive_by_day=alive)
    return SiteAssessment(site_id=site_id, findings=(go,), links=(), power=power)


def working(from_id: SiteId, to_id: SiteId) -> LinkAssessment:
    end = Terminal(tx_power_dbm=20, feeder_loss_db=0, antenna_gain_dbi=2, noise_figure_db=6)
    return LinkAssessment(
        link=Link(from_id=from_id, to_id=to_id), budget=link_budget(end, end, 100.0, 125e3, 10)
    )


def assessment(
    *alive: tuple[float, ...], met: tuple[int, ...] = (), days: int | None = 4
) -> PlanAssessment:
    ids = (A, B, C)[: len(alive)]
    plan = Plan(
        incident=Incident(start_on=date(2027, 2, 26), mission_days=days),
        sites=tuple(Site(site_id=i) for i in ids),
        links=(Link(from_id=A, to_id=B), Link(from_id=A, to_id=C)),
        needs=(Need(from_id=A, to_id=B), Need(from_id=A, to_id=C)),
    )
    sites = tuple(assessed(i, a) for i, a in zip(ids, alive, strict=True))
    links = (working(A, B), working(A, C))
    if len(ids) < 3:
        network = NetworkAssessment()
    elif met:
        network = NetworkAssessment(
            needs=combine(plan, sites, links).needs,
            days=tuple(NetworkDay(up=(), cut_off=(), met=(m > 0, m > 1)) for m in met),
        )
    else:
        network = combine(plan, sites, links).network
    return PlanAssessment(plan=plan, sites=sites, links=links, network=network)


def test_sites_that_fail_first_stand_first_and_unknown_ones_before_the_safe() -> None:
    view = days_view(assessment((1.0, 1.0, 1.0, 0.97), (), (1.0, 0.9, 0.4, 0.1)))
    assert [b.site_id for b in view.bands] == [C, B, A]
    assert [b.end_text for b in view.bands] == ["to day 1", UNKNOWN, "97 %"]


def test_a_site_that_cannot_carry_the_first_day_says_so() -> None:
    view = days_view(assessment((0.2, 0.1, 0.0, 0.0)))
    assert view.bands[0].first_bad_day == 0
    assert view.bands[0].end_text == "not day 0"


def test_days_carry_their_dates_across_the_end_of_a_month() -> None:
    view = days_view(assessment((1.0,) * 4))
    assert view.day_text(0) == "day 0, 26 Feb"
    assert view.day_text(3) == "day 3, 1 Mar"


def test_the_needs_met_are_those_of_the_assessment() -> None:
    view = days_view(assessment((1.0,) * 4, (1.0,) * 4, (1.0,) * 4, met=(2, 2, 1, 1)))
    assert view.met_by_day == (2, 2, 1, 1)
    assert not view.is_least
    assert view.needs_text(2) == "Day 2, 28 Feb: 1 of 2 needs met"
    assert view.needs_end_text == "1 of 2"
    assert "Of 2 needs are met: 2 from day 0, 1 from day 2." in view.summary


def test_a_site_of_unknown_power_counts_as_off_the_air_and_that_is_said() -> None:
    view = days_view(assessment((1.0,) * 4, (1.0, 1.0, 0.3, 0.3), ()))
    assert view.is_least
    assert view.met_by_day == (1, 1, 0, 0)  # A-B until B fails; A-C hangs on the unknown C
    assert view.needs_text(0).startswith("Day 0, 26 Feb: at least 1 of 2 needs met")
    assert view.needs_end_text == "≥ 0 of 2"


def test_a_band_with_days_missing_is_unknown_and_never_alive() -> None:
    view = days_view(assessment((1.0, 1.0)))
    assert not view.bands[0].is_known
    assert UNKNOWN in view.chance_text(view.bands[0], 0)


def test_a_band_with_a_day_that_is_no_number_is_unknown() -> None:
    assert not days_view(assessment((1.0, float("nan"), 1.0, 1.0))).bands[0].is_known


def test_numbers_are_told_for_every_day() -> None:
    view = days_view(assessment((1.0, 0.874, 0.6, 0.55)))
    assert view.chance_text(view.bands[0], 1) == "A, day 1, 27 Feb: 87 % on the air"


def test_nothing_to_show_is_told_with_what_to_do() -> None:
    assert days_view(assessment((), days=None)).problem == NO_MISSION
    empty = PlanAssessment(plan=Plan(), sites=(), links=(), network=NetworkAssessment())
    assert days_view(empty).problem == NO_SITES


def test_no_chance_is_called_certain() -> None:
    assert [percent(p) for p in (0.0, 0.001, 0.5, 0.996, 1.0)] == [
        "< 1 %",
        "< 1 %",
        "50 %",
        "> 99 %",
        "> 99 %",
    ]


def test_sites_up_are_a_band_from_the_tenth_to_the_ninetieth_percentile() -> None:
    # by hand: one site certain, one up on day 1 in half of the runs: 1 or 2 sites of 2
    runs = np.array([[1, 1], [1, 0]] * 4, dtype=np.uint8)
    shown = assessment((1.0, 1.0), (1.0, 0.5), days=2)
    sure, doubtful = shown.sites
    power = replace(doubtful.power, alive_runs=np.packbits(runs).tobytes())
    view = days_view(replace(shown, sites=(sure, replace(doubtful, power=power))))
    assert view.up is not None
    assert (view.up.low, view.up.high) == ((2.0, 1.0), (2.0, 2.0))
    assert view.up_end_text == "1–2 of 2"
    assert "1 to 2 of 2 sites up in eight cases of ten" in view.up_text(1)


def test_sites_up_of_unknown_power_are_unknown() -> None:
    view = days_view(assessment((), days=3))
    assert view.up is None
    assert view.up_end_text == UNKNOWN
