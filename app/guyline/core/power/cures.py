"""Changes that would end a lack of power, each computed again before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil, floor

from guyline.core.plan import Battery, Panel, PowerSource, Site
from guyline.core.power.assessment import Cure, PowerAssessment
from guyline.core.power.cure_changes import (
    with_battery_wh,
    with_fuel_l,
    with_mains_charger_w,
    with_panel_w,
    with_smaller_load,
    with_swap_days,
)
from guyline.core.power.generator import FUEL_RESERVE
from guyline.core.power.handling import KG_PER_WH
from guyline.core.power.prices import Price, PriceList, together
from guyline.core.power.requirements import VISIT_RESERVE, requirement_of
from guyline.core.power.sizes import BATTERY_SIZES_WH, CHARGER_SIZES_W, PANEL_SIZES_W

Assess = Callable[[Site], PowerAssessment]

PANEL_KG_PER_W = 0.09  # small framed panels: common practice, no source
PETROL_KG_PER_L = 0.75  # from memory
LOAD_STEPS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)
DUTY_STEPS = (0.75, 0.5, 0.25, 0.1)
SHELTERED_C = 1.0  # above freezing, so that lithium takes a charge: our choice
NO_PRICES = PriceList()
FREE, BOUGHT, BOTH, VISITS = 1, 2, 3, 4
"""Effort, as `Cure.cost_rank` counts it: up to FREE nothing is bought; VISITS are trips."""


def is_enough(site: Site, assessment: PowerAssessment, mission_days: int) -> bool:
    """Whether every finding on the site's energy would be GO."""
    need, days = requirement_of(site.function), assessment.days_without_sun
    chance, balance = assessment.survival_probability, assessment.balance_wh_per_day
    if assessment.lacks_power is not False:
        return False
    if site.power.source is PowerSource.GENERATOR:
        return assessment.fuel_days is not None and assessment.fuel_days >= mission_days
    if days is None or chance is None:
        return False
    if site.power.source is PowerSource.SOLAR:
        return (
            chance >= need.survival_for_go
            and days >= min(need.days_for_go, float(mission_days))
            and balance is not None
            and balance >= 0.0
        )
    if site.power.source is PowerSource.BATTERY:
        return days >= mission_days
    late_h = assessment.late_return_hours
    return chance >= need.survival_for_go and late_h is not None and late_h >= 0.0


def find_cures(
    site: Site,
    assessment: PowerAssessment,
    mission_days: int,
    assess: Assess,
    assess_in_the_open: Assess | None = None,
    prices: PriceList = NO_PRICES,
) -> tuple[Cure, ...]:
    """Return what would make the site's power GO, best first.

    Parameters
    ----------
    assess : callable
        Computes a changed site again.
    assess_in_the_open : callable or None
        The same with the panel out of every shadow; None where nothing shades it.

    Notes
    -----
    What needs nothing bought stands first: turning a panel, then a smaller load. What must be
    bought follows by price where all prices are known in one currency, else by the mass that
    must be carried up. Promised visits stand last: they make it GO WITH CONDITIONS only. What
    another purchase beats in mass and price is left out.
    """
    if assessment.load_wh_per_day is None:
        return ()
    case = _Case(site, assessment, mission_days, assess, assess_in_the_open)
    found = [cure for way in _WAYS[site.power.source] for cure in way(case)]
    return ranked([_priced(site, cure, prices) for cure in found])


def ranks_by_price(cures: Sequence[Cure]) -> bool:
    """Whether all that must be bought has a price in one currency."""
    prices = [cure.price for cure in cures if cure.cost_rank in (BOUGHT, BOTH)]
    known = [price for price in prices if price is not None]
    return bool(known) and len(known) == len(prices) and len({p.currency for p in known}) == 1


def ranked(cures: Sequence[Cure]) -> tuple[Cure, ...]:
    """Return cures in the order of `find_cures`, without those that another one beats."""
    by_price = ranks_by_price(cures)

    def order(cure: Cure) -> tuple[int, float, float, int]:
        stage = {FREE: 0, VISITS: 2}.get(max(FREE, cure.cost_rank), 1)
        cost = cure.price.amount if by_price and cure.price is not None else 0.0
        return (stage, cost, cure.mass_kg or 0.0, cure.cost_rank)

    kept = [cure for cure in cures if not any(_beats(other, cure) for other in cures)]
    return tuple(sorted(kept, key=order))


def _beats(one: Cure, other: Cure) -> bool:
    """Whether a purchase is no heavier, no dearer and no more effort than another one.

    Where prices cannot be compared only a pair is beaten, by a single part that is as light.
    """
    ranks = (one.cost_rank, other.cost_rank)
    if min(ranks) < BOUGHT or max(ranks) > BOTH or ranks[0] > ranks[1]:
        return False
    if one.mass_kg is None or other.mass_kg is None or one.mass_kg > other.mass_kg:
        return False
    if one.price is None or other.price is None or not _is_comparable((one.price, other.price)):
        return ranks == (BOUGHT, BOTH)
    ours = (one.price.amount, one.mass_kg, one.cost_rank)
    theirs = (other.price.amount, other.mass_kg, other.cost_rank)
    return ours[0] <= theirs[0] and ours != theirs


def _is_comparable(prices: Sequence[Price | None]) -> bool:
    return len({price.currency for price in prices if price is not None}) == 1


def _priced(site: Site, cure: Cure, prices: PriceList) -> Cure:
    battery = site.power.battery
    if cure.kind == "panel":
        return replace(cure, price=prices.panel(cure.value))
    if battery is None:
        return cure
    if cure.kind == "battery":
        return replace(cure, price=prices.battery(battery.chemistry, cure.value))
    if cure.battery_wh is not None:
        stored = prices.battery(battery.chemistry, cure.battery_wh)
        return replace(cure, price=together(prices.panel(cure.value), stored))
    return cure


@dataclass(frozen=True, slots=True)
class _Case:
    """A site with what is known of it, and how to try a change."""

    site: Site
    known: PowerAssessment
    mission_days: int
    assess: Assess
    assess_in_the_open: Assess | None

    @property
    def battery(self) -> Battery | None:
        """The battery, None where its size is unknown."""
        battery = self.site.power.battery
        return None if battery is None or battery.capacity_wh is None else battery

    @property
    def panel(self) -> Panel | None:
        """The panel, None where its power is unknown."""
        panel = self.site.power.panel
        return panel if panel is not None and panel.stc_w and self.battery is not None else None

    def works(self, changed: Site) -> PowerAssessment | None:
        answer = self.assess(changed)
        return answer if is_enough(changed, answer, self.mission_days) else None

    def smallest_of(
        self, sizes: Sequence[float], change: Callable[[float], Site]
    ) -> tuple[float, float | None] | None:
        """The smallest size that works with the chance it gives, None where none does."""
        size = smallest(sizes, lambda value: self.works(change(value)) is not None)
        if size is None:
            return None
        answer = self.works(change(size))
        return size, None if answer is None else answer.survival_probability


def smallest(sizes: Sequence[float], works: Callable[[float], bool]) -> float | None:
    """Return the smallest of ascending sizes that works, taking it that larger ones do too."""
    if not sizes or not works(sizes[-1]):
        return None
    low, high = 0, len(sizes) - 1
    while low < high:
        middle = (low + high) // 2
        if works(sizes[middle]):
            high = middle
        else:
            low = middle + 1
    return sizes[low]


def larger_sizes(sizes: tuple[int, ...], present: float) -> list[float]:
    return [float(size) for size in sizes if size > present * 1.02]  # not the same by rounding


def _turned(case: _Case) -> Iterator[Cure]:
    """The panel facing the equator at the winter tilt, where it stands otherwise."""
    panel, site = case.panel, case.site
    if panel is None or (panel.tilt_deg is None and panel.azimuth_deg is None):
        return
    turned = replace(panel, tilt_deg=None, azimuth_deg=None)
    answer = case.works(replace(site, power=replace(site.power, panel=turned)))
    if answer is None or answer.panel_tilt_deg is None:
        return
    yield Cure(
        kind="tilt",
        value=answer.panel_tilt_deg,
        unit="°",
        mass_kg=0.0,
        cost_rank=0,
        survival_probability=answer.survival_probability,
        azimuth_deg=answer.panel_azimuth_deg,
    )


def _moved(case: _Case) -> Iterator[Cure]:
    """The same panel where nothing shades it."""
    if case.panel is None or case.assess_in_the_open is None:
        return
    answer = case.assess_in_the_open(case.site)
    if is_enough(case.site, answer, case.mission_days) and answer.yield_wh_per_day is not None:
        yield Cure(
            kind="move",
            value=answer.yield_wh_per_day,
            unit="Wh/day",
            mass_kg=0.0,
            cost_rank=FREE,
            survival_probability=answer.survival_probability,
        )


def _smaller_load(case: _Case) -> Iterator[Cure]:
    for step in LOAD_STEPS:
        answer = case.works(with_smaller_load(case.site, step))
        if answer is not None and answer.load_wh_per_day is not None:
            yield Cure(
                kind="load",
                value=answer.load_wh_per_day,
                unit="Wh/day",
                mass_kg=0.0,
                cost_rank=FREE,
                survival_probability=answer.survival_probability,
            )
            return


def _warmer(case: _Case) -> Iterator[Cure]:
    """The same battery in a box or a house that keeps frost from it."""
    coldest_c = case.known.quantity("coldest battery temperature").value
    if coldest_c is None or coldest_c >= SHELTERED_C or case.battery is None:
        return
    power = replace(case.site.power, coldest_c=SHELTERED_C)
    answer = case.works(replace(case.site, power=power))
    if answer is not None:
        yield Cure(
            kind="shelter",
            value=SHELTERED_C,
            unit="°C",
            mass_kg=0.0,
            cost_rank=FREE,
            survival_probability=answer.survival_probability,
        )


def _fewer_packets(case: _Case) -> Iterator[Cure]:
    """The same site sending less often: what else it does stays as it is."""
    packets = case.site.packets_per_hour
    if not packets:
        return
    for step in DUTY_STEPS:
        fewer = round(packets * step, 1)
        answer = case.works(replace(case.site, packets_per_hour=fewer))
        if answer is not None and fewer > 0.0:
            yield Cure(
                kind="duty",
                value=fewer,
                unit="packets/h",
                mass_kg=0.0,
                cost_rank=FREE,
                survival_probability=answer.survival_probability,
            )
            return


def _larger_panel(case: _Case) -> Iterator[Cure]:
    if case.panel is None or case.panel.stc_w is None:
        return
    sizes = larger_sizes(PANEL_SIZES_W, case.panel.stc_w)
    found = case.smallest_of(sizes, lambda w: with_panel_w(case.site, w))
    if found is not None:
        yield Cure(
            kind="panel",
            value=found[0],
            unit="W",
            mass_kg=found[0] * PANEL_KG_PER_W,
            cost_rank=BOUGHT,
            survival_probability=found[1],
        )


def _larger_battery(case: _Case) -> Iterator[Cure]:
    battery = case.battery
    if battery is None or battery.capacity_wh is None:
        return
    sizes = larger_sizes(BATTERY_SIZES_WH, battery.capacity_wh)
    found = case.smallest_of(sizes, lambda wh: with_battery_wh(case.site, wh))
    if found is not None:
        yield Cure(
            kind="battery",
            value=found[0],
            unit="Wh",
            mass_kg=found[0] * KG_PER_WH[battery.chemistry],
            cost_rank=BOUGHT,
            survival_probability=found[1],
        )


def _both(case: _Case) -> Iterator[Cure]:
    """The lightest pair of larger panel and larger battery."""
    battery, panel = case.battery, case.panel
    if panel is None or panel.stc_w is None or battery is None or battery.capacity_wh is None:
        return
    panels = larger_sizes(PANEL_SIZES_W, panel.stc_w)
    per_wh = KG_PER_WH[battery.chemistry]
    best: Cure | None = None
    for battery_wh in larger_sizes(BATTERY_SIZES_WH, battery.capacity_wh):
        if best is not None and best.mass_kg is not None and battery_wh * per_wh >= best.mass_kg:
            break
        larger = with_battery_wh(case.site, battery_wh)
        found = case.smallest_of(panels, lambda w, s=larger: with_panel_w(s, w))  # type: ignore[misc]
        if found is None:
            continue
        mass = found[0] * PANEL_KG_PER_W + battery_wh * per_wh
        if best is not None and best.mass_kg is not None and mass >= best.mass_kg:
            break  # heavier batteries no longer save panel
        best = Cure(
            kind="panel and battery",
            value=found[0],
            unit="W",
            battery_wh=battery_wh,
            mass_kg=mass,
            cost_rank=BOTH,
            survival_probability=found[1],
        )
    if best is not None:
        yield best


def _stronger_charger(case: _Case) -> Iterator[Cure]:
    """A charger that fills the battery between cuts by turns."""
    charger_w = case.site.power.mains_charger_w
    if charger_w is None or case.site.power.mains_hours_per_day is None:
        return
    sizes = larger_sizes(CHARGER_SIZES_W, charger_w)
    found = case.smallest_of(sizes, lambda w: with_mains_charger_w(case.site, w))
    if found is not None:
        yield Cure(
            kind="charger",
            value=found[0],
            unit="W",
            cost_rank=BOUGHT,
            survival_probability=found[1],
        )


def _more_fuel(case: _Case) -> Iterator[Cure]:
    per_day, generator = case.known.fuel_l_per_day, case.site.power.generator
    if per_day is None or generator is None or generator.fuel_l is None:
        return
    litres = float(ceil(per_day * case.mission_days / (1.0 - FUEL_RESERVE)))
    answer = case.works(with_fuel_l(case.site, litres))
    if litres > generator.fuel_l and answer is not None:
        yield Cure(
            kind="fuel",
            value=litres,
            unit="L",
            mass_kg=(litres - generator.fuel_l) * PETROL_KG_PER_L,
            cost_rank=BOUGHT,
            survival_probability=answer.survival_probability,
        )


def _visits(case: _Case) -> Iterator[Cure]:
    """A promise to swap or refuel as often as it takes, in whole days."""
    generator = case.site.power.source is PowerSource.GENERATOR
    lasts = case.known.fuel_days if generator else case.known.days_without_sun
    if lasts is None or lasts >= case.mission_days:
        return
    days = float(floor(lasts / VISIT_RESERVE))
    promised = case.site.power.battery_swap_days
    if days < 1.0 or (promised is not None and promised <= days):
        return
    answer = case.assess(with_swap_days(case.site, days))
    if answer.lacks_power is False:
        yield Cure(
            kind="swap",
            value=days,
            unit="days",
            cost_rank=VISITS,
            survival_probability=answer.survival_probability,
        )


_Way = Callable[[_Case], Iterator[Cure]]
_LESS: tuple[_Way, ...] = (_warmer, _smaller_load, _fewer_packets)
_SUN: tuple[_Way, ...] = (_turned, _moved, *_LESS, _larger_panel, _larger_battery, _both)
_WAYS: dict[PowerSource, tuple[_Way, ...]] = {
    PowerSource.SOLAR: _SUN,
    PowerSource.MAINS_WITH_BACKUP: (*_SUN, _stronger_charger, _visits),
    PowerSource.BATTERY: (*_LESS, _larger_battery, _visits),
    PowerSource.GENERATOR: (*_LESS, _larger_panel, _more_fuel, _visits),
    PowerSource.MAINS: (),
    PowerSource.UNKNOWN: (),
}
