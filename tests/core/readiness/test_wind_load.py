"""Wind on a mast, held against a worked example that was printed to three figures."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Gate, Mast, Panel, PowerSystem, Site, SiteId
from guyline.core.readiness.finding import FindingCode, Verdict
from guyline.core.readiness.wind_checks import wind_findings
from guyline.core.readiness.wind_load import (
    DRAG_FLAT,
    DRAG_ROUND,
    PANEL_W_PER_M2,
    gust_pressure_pa,
    wind_force_n,
    wind_load,
)

# Rederived from q = 0.613 v^2 of a published mast data sheet; the figures below were worked out
# apart from this program and printed to whole pascals and three figures.
PRESSURES = [(20.0, 245.0), (30.0, 552.0), (40.0, 981.0), (50.0, 1533.0)]
FORCES = [  # at 40 m/s
    (1.5 * 0.025, DRAG_ROUND, 44.1),
    (4.0 * 0.04, DRAG_ROUND, 188.0),
    (0.45 * 0.35, DRAG_FLAT, 309.0),
]


def mast_site(**changes: object) -> Site:
    """Mast of 4 m, antenna of 1.5 m with its middle at 4.75 m, panel of 0.45 x 0.35 m at 1.5 m."""
    mast = Mast(
        length_m=4.0,
        diameter_m=0.04,
        antenna_length_m=1.5,
        antenna_diameter_m=0.025,
        panel_agl_m=1.5,
        holds_n_m=110.0,
        gust_m_s=40.0,
    )
    return Site(
        site_id=SiteId("HILL"),
        antenna_agl_m=4.75,
        mast=replace(mast, **changes),  # type: ignore[arg-type]
        power=PowerSystem(panel=Panel(stc_w=0.45 * 0.35 * PANEL_W_PER_M2)),
    )


@pytest.mark.parametrize(("gust_m_s", "pressure_pa"), PRESSURES)
def test_the_pressure_of_a_gust_is_that_of_the_sheet(gust_m_s, pressure_pa):
    assert gust_pressure_pa(gust_m_s) == pytest.approx(pressure_pa, abs=0.5)


def test_the_metric_factor_is_the_one_in_feet_and_miles():
    # independent form of the same sheet: 0.00256 v^2 psf, v in mph; 1 psf = 47.88 Pa
    gust_m_s = 50.0
    psf = 0.00256 * (gust_m_s / 0.44704) ** 2
    assert gust_pressure_pa(gust_m_s) == pytest.approx(psf * 47.880259, rel=2e-3)


@pytest.mark.parametrize(("area_m2", "drag", "force_n"), FORCES)
def test_the_force_on_each_part_is_that_of_the_worked_example(area_m2, drag, force_n):
    assert wind_force_n(area_m2, drag, 40.0) == pytest.approx(force_n, rel=3e-3)


def test_the_moment_at_the_foot_is_that_of_the_worked_example():
    # worked example: 1 050 N m, printed to three figures
    assert wind_load(mast_site()).moment_n_m(40.0) == pytest.approx(1050.0, rel=5e-3)


@pytest.mark.parametrize(("gust_m_s", "moment_n_m"), [(15.0, 82.0), (20.0, 147.0)])
def test_without_the_panel_a_tripod_falls_between_15_and_20_metres_a_second(gust_m_s, moment_n_m):
    # worked example: 25 kg of ballast at 0.9 m resist 110 N m; 82 and 147 N m turn it
    load = wind_load(mast_site(panel_agl_m=None))
    assert load.moment_n_m(gust_m_s) == pytest.approx(moment_n_m, rel=6e-3)
    assert 15.0 < load.gust_that_turns_it(110.0) < 20.0


def test_the_gust_that_turns_it_brings_just_the_moment_it_holds():
    # law
    load = wind_load(mast_site())
    assert load.moment_n_m(load.gust_that_turns_it(300.0)) == pytest.approx(300.0)


def test_nothing_is_said_of_a_mast_of_which_nothing_is_entered():
    assert wind_findings(Site(site_id=SiteId("HILL"))) == ()


@pytest.mark.parametrize(("holds_n_m", "verdict"), [(1000.0, Verdict.NO_GO), (1100.0, Verdict.GO)])
def test_a_mast_that_holds_less_than_the_gust_brings_is_no_go(holds_n_m, verdict):
    (finding,) = wind_findings(mast_site(holds_n_m=holds_n_m))
    assert (finding.code, finding.gate, finding.verdict) == (
        FindingCode.MAST_WIND,
        Gate.SAFETY,
        verdict,
    )
    assert "no structural design" in finding.working.confidence


@pytest.mark.parametrize(
    "field",
    [
        "length_m",
        "diameter_m",
        "antenna_length_m",
        "antenna_diameter_m",
        "holds_n_m",
        "gust_m_s",
    ],
)
def test_what_is_unknown_of_a_mast_is_named_and_never_go(field):
    (finding,) = wind_findings(mast_site(**{field: None}))
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert len(finding.fact("missing").split(", ")) == 1
    assert finding.remedy is not None
    assert finding.remedy.what == finding.fact("missing")


def test_a_mast_that_is_stated_to_hold_nothing_is_unknown_and_divides_by_nothing():
    (finding,) = wind_findings(mast_site(holds_n_m=0.0))
    assert finding.verdict is Verdict.NOT_ASSESSED


def test_a_panel_on_the_mast_asks_for_its_power_as_its_area_follows_from_it():
    site = replace(mast_site(), power=PowerSystem())
    assert wind_load(site).missing == ("panel power",)
