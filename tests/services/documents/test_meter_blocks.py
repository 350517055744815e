from __future__ import annotations

from dataclasses import replace

from guyline.core.plan import PowerSystem
from guyline.core.power.wiring import wiring_of
from guyline.services.commissioning import expected_readings
from guyline.services.documents.meter_blocks import (
    SHOWN_HOURS,
    cable_fields,
    fuses_a,
    reading_fields,
)
from guyline.services.documents.power_blocks import power_chain
from sheet_stories import assessed, full_plan
from stories import HILL


def test_every_fuse_of_the_wiring_stands_in_the_drawing() -> None:
    plan = full_plan()
    site, power = plan.site(HILL), assessed(plan).site(HILL).power
    wiring = wiring_of(site.power, power.load_wh_per_day, site.power.coldest_c)
    assert wiring is not None
    drawn = power_chain(site, power)
    ratings = [f"fuse {run.fuse_a:g} A" for run in wiring.runs if run.fuse_a is not None]
    assert len(ratings) == 2
    assert [part for part in drawn if part.startswith("fuse")] == ratings
    # at the plus pole of the battery: on either side of it
    battery = drawn.index("battery")
    assert (drawn[battery - 1], drawn[battery + 1]) == tuple(ratings)


def test_every_run_of_the_wiring_has_its_cable() -> None:
    plan = full_plan()
    site, power = plan.site(HILL), assessed(plan).site(HILL).power
    wiring = wiring_of(site.power, power.load_wh_per_day, site.power.coldest_c)
    assert wiring is not None
    (cables,) = cable_fields(site, power)
    assert (cables.value or "").count("mm²") == len(wiring.runs)


def test_a_printed_cable_reaches_as_far_as_it_says() -> None:
    plan = full_plan()
    site, power = plan.site(HILL), assessed(plan).site(HILL).power
    wiring = wiring_of(site.power, power.load_wh_per_day, site.power.coldest_c)
    assert wiring is not None
    cables = next(f.value or "" for f in cable_fields(site, power) if f.label == "Cables")
    for run, words in zip(wiring.runs, cables.split("; "), strict=True):
        section = float(words.split(" mm²")[0].split()[-1])
        reach = dict(run.reach_m)[section]
        if "up to" in words:
            assert float(words.split("up to ")[1].removesuffix(" m")) <= reach
        else:
            assert reach > 100.0


def test_charging_is_told_for_morning_noon_and_afternoon() -> None:
    plan = full_plan()
    site = plan.site(HILL)
    expected = expected_readings(plan, site, 20.0)
    assert expected is not None
    fields = {f.label: f.value or "" for f in reading_fields(plan, site, 20.0)}
    for hour in expected.hours:
        if hour.clock.hour in SHOWN_HOURS:
            assert f"{hour.clock:%H:%M} {hour.charging_a[0]:.1f} to" in fields["Charging"]
    by_day = [v for h in expected.hours if h.clock.hour in SHOWN_HOURS for v in h.open_v]
    assert fields["Panel open"] == (
        f"{min(by_day):.0f} to {max(by_day):.0f} V by day,"
        f" at most {expected.panel_open_v:.0f} V in frost"
    )
    assert fields["Charging"].endswith(f"at {expected.charging_v:.1f} V or more")


def test_nothing_is_said_of_a_system_that_nobody_knows() -> None:
    plan = full_plan()
    site = replace(plan.site(HILL), power=PowerSystem())
    power = assessed(plan.with_site(site)).site(HILL).power
    assert cable_fields(site, power) == ()
    assert fuses_a(site, power) == {}
    assert reading_fields(plan, site, 20.0) == ()
