"""Cures come only from sizes that were computed again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

import stories
from guyline.core.plan import (
    Chemistry,
    Generator,
    Incident,
    Plan,
    PowerSource,
    PowerSystem,
    Site,
    SiteFunction,
    SiteId,
)
from guyline.core.power.assessment import Cure
from guyline.core.power.cure_changes import apply_cure, with_battery_wh, with_panel_w
from guyline.core.power.cures import is_enough, ranked, ranks_by_price, smallest
from guyline.core.power.prices import Price, PricedBattery, PricedPanel, PriceList, together
from guyline.services.site_power import SitePower

POWER = SitePower()
PLAN = Plan(incident=Incident(start_on=date(2031, 6, 1), mission_days=14))


def site_of(power: PowerSystem, **changes: object) -> Site:
    return stories.complete_site(SiteId("HILL"), -44.0, 170.0, power=power, **changes)


def small(stc_w: float, capacity_wh: float, **panel: object) -> PowerSystem:
    power = stories.solar()
    assert power.panel is not None
    assert power.battery is not None
    return replace(
        power,
        panel=replace(power.panel, stc_w=stc_w, **panel),
        battery=replace(power.battery, capacity_wh=capacity_wh),
    )


@pytest.mark.parametrize(
    "power",
    [
        small(1.5, 40.0),
        small(1.0, 20.0),
        small(4.0, 40.0, azimuth_deg=180.0),
        replace(small(5.0, 12.0), source=PowerSource.BATTERY),
        replace(small(5.0, 12.0), source=PowerSource.MAINS_WITH_BACKUP, backup_hours_needed=200.0),
    ],
)
def test_every_cure_cures(power):
    site = site_of(power)
    known = POWER.assess(PLAN, site, 0.0)
    assert not is_enough(site, known, 14)
    assert known.cures
    for cure in known.cures:
        if cure.kind == "load":
            assert cure.value < known.load_wh_per_day
            continue
        if cure.kind == "shelter":
            mended = replace(site, power=replace(site.power, coldest_c=cure.value))
        else:
            mended = apply_cure(site, cure)
        answer = POWER.assess(PLAN, mended, 0.0)
        if cure.kind == "swap":
            assert answer.lacks_power is False
            continue
        assert is_enough(mended, answer, 14), cure


def test_a_battery_too_cold_to_work_is_to_be_kept_warmer():
    power = replace(small(30.0, 77.0), coldest_c=-25.0)
    known = POWER.assess(PLAN, site_of(power), 0.0)
    assert known.lacks_power is True
    (shelter,) = (cure for cure in known.cures if cure.kind == "shelter")
    assert apply_cure(site_of(power), shelter) is None
    warm = site_of(replace(power, coldest_c=shelter.value))
    assert is_enough(warm, POWER.assess(PLAN, warm, 0.0), 14)


def test_a_panel_that_faces_the_pole_is_turned_first():
    known = POWER.assess(PLAN, site_of(small(5.0, 40.0, azimuth_deg=180.0)), 0.0)
    assert known.cures[0].kind == "tilt"
    assert known.cures[0].azimuth_deg == 0.0


def test_a_good_site_needs_no_cure():
    assert POWER.assess(PLAN, site_of(stories.solar()), 0.0).cures == ()


def test_the_lighter_of_two_additions_comes_first():
    known = POWER.assess(PLAN, site_of(small(2.0, 30.0)), 0.0)
    masses = [c.mass_kg for c in known.cures if c.kind not in ("tilt", "load")]
    assert masses == sorted(masses)


def test_a_pair_that_is_heavier_than_one_larger_part_is_not_offered():
    known = POWER.assess(PLAN, site_of(small(3.0, 154.0), function=SiteFunction.END_POINT), 0.0)
    single = [c.mass_kg for c in known.cures if c.kind in ("panel", "battery")]
    pairs = [c.mass_kg for c in known.cures if c.kind == "panel and battery"]
    assert all(pair < min(single, default=pair + 1.0) for pair in pairs)


@pytest.mark.parametrize("threshold", [0, 1, 4, 9])
def test_the_smallest_size_that_works_is_found(threshold):
    assert smallest(list(range(10)), lambda size: size >= threshold) == threshold
    assert smallest([1.0, 2.0], lambda size: False) is None
    assert smallest([], lambda size: True) is None


def test_the_sizing_chart_trades_panel_for_battery():
    site = site_of(small(2.0, 40.0))
    chart = POWER.sizing_chart(PLAN, site, 0.0)
    assert chart.is_enough is False
    assert (chart.panel_w, chart.battery_wh) == (2.0, 40.0)
    panels = [panel for _, panel in chart.points if panel is not None]
    assert len(panels) > 3
    assert panels == sorted(panels, reverse=True)
    for battery_wh, panel_w in chart.points:
        if panel_w is not None:
            sized = with_battery_wh(with_panel_w(site, panel_w), battery_wh)
            assert is_enough(sized, POWER.assess(PLAN, sized, 0.0), 14)


def test_there_is_no_sizing_chart_without_a_panel():
    power = replace(stories.solar(), source=PowerSource.BATTERY)
    assert POWER.sizing_chart(PLAN, site_of(power), 0.0) is None
    assert POWER.sizing_chart(Plan(), site_of(stories.solar()), 0.0) is None


def test_a_shaded_panel_is_moved_where_that_is_enough():
    wall = tuple(40.0 if a < 90 or a > 270 else 0.0 for a in range(0, 360, 5))  # to the north
    site = site_of(small(5.0, 40.0))
    shaded = POWER.assess(PLAN, site, 0.0, horizon=wall)
    assert not is_enough(site, shaded, 14)
    (move,) = (cure for cure in shaded.cures if cure.kind == "move")
    free = POWER.assess(PLAN, site, 0.0)
    assert is_enough(site, free, 14)
    assert move.value == pytest.approx(free.yield_wh_per_day)
    assert move.survival_probability == free.survival_probability
    assert "move" not in {cure.kind for cure in POWER.assess(PLAN, site, 0.0).cures}


def test_trees_too_can_be_left_by_moving():
    site = site_of(small(5.0, 77.0, sunny_hours=0.5))
    assert "move" in {cure.kind for cure in POWER.assess(PLAN, site, 0.0).cures}


def generator_site(fuel_l: float, **power: object) -> Site:
    solar = stories.solar()
    generator = Generator(rated_w=1000.0, fuel_l=fuel_l, charger_w=100.0)
    return site_of(
        replace(solar, source=PowerSource.GENERATOR, panel=None, generator=generator, **power)
    )


def test_a_generator_short_of_fuel_is_offered_fuel_and_visits():
    known = POWER.assess(PLAN, generator_site(0.05), 0.0)
    assert known.lacks_power is True
    kinds = [cure.kind for cure in known.cures]
    assert "fuel" in kinds
    assert kinds[-1] == "swap"
    for cure in known.cures:
        mended = apply_cure(generator_site(0.05), cure)
        if mended is not None:
            assert POWER.assess(PLAN, mended, 0.0).lacks_power is False, cure


def test_a_charger_too_weak_for_cuts_by_turns_is_offered_a_stronger_one():
    power = replace(
        small(5.0, 8.0),
        source=PowerSource.MAINS_WITH_BACKUP,
        panel=None,
        mains_hours_per_day=4.0,
        mains_charger_w=0.2,
    )
    known = POWER.assess(PLAN, site_of(power), 0.0)
    assert known.lacks_power is True
    (charger,) = (cure for cure in known.cures if cure.kind == "charger")
    mended = POWER.assess(PLAN, apply_cure(site_of(power), charger), 0.0)
    assert mended.lacks_power is False


def test_a_radio_that_sends_too_much_is_offered_fewer_packets():
    site = site_of(replace(small(2.0, 60.0), source=PowerSource.BATTERY, panel=None))
    site = replace(site, packets_per_hour=200.0, radio=replace(site.radio, transmit_a=1.0))
    known = POWER.assess(PLAN, site, 0.0)
    (duty,) = (cure for cure in known.cures if cure.kind == "duty")
    mended = apply_cure(site, duty)
    assert mended.packets_per_hour == duty.value < 200.0
    assert is_enough(mended, POWER.assess(PLAN, mended, 0.0), 14)


# --- prices and ranks ---------------------------------------------------------------------------


def bought(kind: str, mass_kg: float, price: float | None = None, currency: str = "EUR") -> Cure:
    return Cure(
        kind=kind,
        value=1.0,
        unit="W",
        mass_kg=mass_kg,
        cost_rank=3 if kind == "panel and battery" else 2,
        price=None
        if price is None
        else Price(amount=price, currency=currency, source="own catalogue"),
    )


def test_cures_are_ranked_by_price_where_all_prices_are_known():
    heavy, light = bought("battery", 9.0, 20.0), bought("panel", 1.0, 50.0)
    assert ranked([light, heavy]) == (heavy, light)
    assert ranks_by_price([light, heavy])


@pytest.mark.parametrize("other", [bought("panel", 1.0), bought("panel", 1.0, 50.0, "USD")])
def test_cures_are_ranked_by_mass_where_a_price_is_unknown_or_in_other_money(other):
    heavy = bought("battery", 9.0, 20.0)
    assert ranked([heavy, other]) == (other, heavy)
    assert not ranks_by_price([heavy, other])


def test_what_needs_nothing_bought_stands_before_and_visits_stand_after():
    turn = Cure(kind="tilt", value=60.0, unit="°", mass_kg=0.0, cost_rank=0)
    visit = Cure(kind="swap", value=3.0, unit="days", cost_rank=4)
    panel = bought("panel", 1.0, 5.0)
    assert ranked([visit, panel, turn]) == (turn, panel, visit)


def test_what_is_heavier_and_dearer_is_not_offered():
    worse, better = bought("panel", 5.4, 90.0), bought("battery", 0.8, 35.0)
    assert ranked([worse, better]) == (better,)
    same = bought("battery", 5.4, 90.0)
    assert set(ranked([worse, same])) == {worse, same}
    turn = Cure(kind="tilt", value=60.0, unit="°", mass_kg=0.0, cost_rank=0)
    assert ranked([better, turn]) == (turn, better)


def test_a_pair_stays_that_is_cheaper_than_the_lighter_part():
    part, pair = bought("battery", 1.0, 90.0), bought("panel and battery", 2.0, 40.0)
    assert set(ranked([part, pair])) == {part, pair}
    assert ranked([part, bought("panel and battery", 2.0, 95.0)]) == (part,)
    assert ranked([part, bought("panel and battery", 2.0)]) == (part,)


def test_the_price_is_that_of_the_cheapest_of_the_size_or_more_and_the_users_own_goes_first():
    def at(amount: float) -> Price:
        return Price(amount=amount, currency="EUR", source="test")

    prices = PriceList(
        panels=(
            PricedPanel(stc_w=10.0, price=at(20.0)),
            PricedPanel(stc_w=20.0, price=at(35.0)),
            PricedPanel(stc_w=50.0, price=at(30.0)),
            PricedPanel(stc_w=100.0, price=at(99.0), is_own=True),
        ),
        batteries=(
            PricedBattery(chemistry=Chemistry.AGM, capacity_wh=84.0, price=at(25.0)),
            PricedBattery(chemistry=Chemistry.LIFEPO4, capacity_wh=625.0, price=at(180.0)),
        ),
    )
    assert prices.panel(20.0) == at(99.0)
    assert replace(prices, panels=prices.panels[:3]).panel(20.0) == at(30.0)
    assert prices.panel(200.0) is None
    assert prices.battery(Chemistry.LIFEPO4, 640.0) == at(180.0)
    assert prices.battery(Chemistry.LIFEPO4, 960.0) is None
    assert together(at(1.0), at(2.0)) == at(3.0)
    assert together(at(1.0), None) is None


def test_a_cure_carries_the_price_of_the_catalogue():
    price = Price(amount=12.0, currency="EUR", source="test")
    prices = PriceList(panels=(PricedPanel(stc_w=400.0, price=price, is_own=True),))
    site = site_of(small(2.0, 154.0, azimuth_deg=0.0))
    known = SitePower(lambda: prices).assess(PLAN, site, 0.0)
    (panel,) = (cure for cure in known.cures if cure.kind == "panel")
    assert panel.price == price
    assert known.cures_ranked_by == ("price" if ranks_by_price(known.cures) else "mass")
