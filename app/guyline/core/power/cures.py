"""Changes that would end a lack of power, each computed again before it is offered."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from guyline.core.plan import Battery, Panel, PowerSource, PowerSystem, Radio, Site
from guyline.core.power.assessment import Cure, PowerAssessment
from guyline.core.power.handling import KG_PER_WH
from guyline.core.power.requirements import requirement_of
from guyline.core.power.sizes import BATTERY_SIZES_WH, PANEL_SIZES_W

Assess = Callable[[Site], PowerAssessment]

PANEL_KG_PER_W = 0.09  # small framed panels: common practice, no source
LOAD_STEPS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3)


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
    return chance >= need.survival_for_go


def find_cures(
    site: Site,
    assessment: PowerAssessment,
    mission_days: int,
    assess: Assess,
    assess_in_the_open: Assess | None = None,
) -> tuple[Cure, ...]:
    """Return what would make the site's power GO, least effort first.

    Parameters
    ----------
    assess : callable
        Computes a changed site again.
    assess_in_the_open : callable or None
        The same with the panel out of every shadow; None where nothing shades it.

    Notes
    -----
    Effort is what must be carried up: turning a panel costs nothing, a smaller load costs no
    mass, then the lighter addition comes first. What is heavier than another cure of the same
    or a simpler kind is left out.
    """
    battery, panel = site.power.battery, site.power.panel
    if battery is None or battery.capacity_wh is None or assessment.load_wh_per_day is None:
        return ()

    def works(changed: Site) -> PowerAssessment | None:
        answer = assess(changed)
        return answer if is_enough(changed, answer, mission_days) else None

    found: list[Cure] = []
    if site.power.source is PowerSource.SOLAR and panel is not None and panel.stc_w:
        found += _turned(site, panel, assessment, works)
        if assess_in_the_open is not None:
            found += _moved(site, mission_days, assess_in_the_open)
        found += _smaller_load(site, assessment, works)
        found += _larger_panel(site, panel, works)
    elif site.power.source is PowerSource.BATTERY:
        found += _smaller_load(site, assessment, works)
    found += _larger_battery(site, battery, works)
    if site.power.source is PowerSource.SOLAR and panel is not None and panel.stc_w:
        found += _both(site, panel, battery, works)
    return _not_dominated(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizingChart:
    """Panel against battery at equal reliability.

    `points` pairs a battery in Wh with the smallest panel in W that goes with it, None where no
    panel of the list is enough; `panel_w` and `battery_wh` are what the site has.
    """

    survival_for_go: float
    points: tuple[tuple[float, float | None], ...]
    panel_w: float
    battery_wh: float
    is_enough: bool


def sizing_chart(
    site: Site, assessment: PowerAssessment, mission_days: int, assess: Assess
) -> SizingChart | None:
    """Return the smallest panel for every size of battery, None where too little is known."""
    battery, panel = site.power.battery, site.power.panel
    if site.power.source is not PowerSource.SOLAR or assessment.survival_probability is None:
        return None
    if battery is None or battery.capacity_wh is None or panel is None or not panel.stc_w:
        return None

    def works(battery_wh: float, panel_w: float) -> bool:
        changed = with_battery_wh(with_panel_w(site, panel_w), battery_wh)
        return is_enough(changed, assess(changed), mission_days)

    points: list[tuple[float, float | None]] = []
    panels = [float(w) for w in PANEL_SIZES_W]
    for battery_wh in map(float, BATTERY_SIZES_WH):
        size = smallest(panels, lambda w, wh=battery_wh: works(wh, w))  # type: ignore[misc]
        points.append((battery_wh, size))
        if size is not None:
            panels = [w for w in panels if w <= size]  # a larger battery needs no more panel
    return SizingChart(
        survival_for_go=requirement_of(site.function).survival_for_go,
        points=tuple(points),
        panel_w=panel.stc_w,
        battery_wh=battery.capacity_wh,
        is_enough=is_enough(site, assessment, mission_days),
    )


_Works = Callable[[Site], PowerAssessment | None]


def with_panel_w(site: Site, stc_w: float) -> Site:
    panel = replace(site.power.panel or Panel(), stc_w=stc_w)
    return replace(site, power=replace(site.power, panel=panel))


def with_battery_wh(site: Site, capacity_wh: float) -> Site:
    assert site.power.battery is not None
    battery = replace(site.power.battery, capacity_wh=capacity_wh)
    return replace(site, power=replace(site.power, battery=battery))


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


def _turned(
    site: Site, panel: Panel, assessment: PowerAssessment, works: _Works
) -> Iterator[Cure]:
    """The panel facing the equator at the winter tilt, where it stands otherwise."""
    if panel.tilt_deg is None and panel.azimuth_deg is None:
        return
    turned = replace(panel, tilt_deg=None, azimuth_deg=None)
    answer = works(replace(site, power=replace(site.power, panel=turned)))
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


def _moved(site: Site, mission_days: int, assess_in_the_open: Assess) -> Iterator[Cure]:
    """The same panel where nothing shades it."""
    answer = assess_in_the_open(site)
    if is_enough(site, answer, mission_days) and answer.yield_wh_per_day is not None:
        yield Cure(
            kind="move",
            value=answer.yield_wh_per_day,
            unit="Wh/day",
            mass_kg=0.0,
            cost_rank=1,
            survival_probability=answer.survival_probability,
        )


def _smaller_load(site: Site, assessment: PowerAssessment, works: _Works) -> Iterator[Cure]:
    for step in LOAD_STEPS:
        answer = works(replace(site, power=_scaled(site.power, step), radio=_dimmed(site, step)))
        if answer is not None and answer.load_wh_per_day is not None:
            yield Cure(
                kind="load",
                value=answer.load_wh_per_day,
                unit="Wh/day",
                mass_kg=0.0,
                cost_rank=1,
                survival_probability=answer.survival_probability,
            )
            return


def _scaled(power: PowerSystem, step: float) -> PowerSystem:
    """The same system with every known draw in proportion."""
    extras = tuple(
        replace(x, power_w=None if x.power_w is None else x.power_w * step)
        for x in power.extra_loads
    )
    quiescent = power.converter_quiescent_w
    panel = power.panel
    if panel is not None and panel.controller_quiescent_w is not None:
        panel = replace(panel, controller_quiescent_w=panel.controller_quiescent_w * step)
    return replace(
        power,
        extra_loads=extras,
        panel=panel,
        converter_quiescent_w=None if quiescent is None else quiescent * step,
    )


def _dimmed(site: Site, step: float) -> Radio:
    radio = site.radio
    return replace(
        radio,
        receive_a=None if radio.receive_a is None else radio.receive_a * step,
        transmit_a=None if radio.transmit_a is None else radio.transmit_a * step,
        host_a=None if radio.host_a is None else radio.host_a * step,
    )


def _larger_panel(site: Site, panel: Panel, works: _Works) -> Iterator[Cure]:
    assert panel.stc_w is not None
    sizes = larger_sizes(PANEL_SIZES_W, panel.stc_w)
    size = smallest(sizes, lambda w: works(with_panel_w(site, w)) is not None)
    if size is not None:
        answer = works(with_panel_w(site, size))
        yield Cure(
            kind="panel",
            value=size,
            unit="W",
            mass_kg=size * PANEL_KG_PER_W,
            cost_rank=2,
            survival_probability=None if answer is None else answer.survival_probability,
        )


def _larger_battery(site: Site, battery: Battery, works: _Works) -> Iterator[Cure]:
    assert battery.capacity_wh is not None
    sizes = larger_sizes(BATTERY_SIZES_WH, battery.capacity_wh)
    size = smallest(sizes, lambda wh: works(with_battery_wh(site, wh)) is not None)
    if size is not None:
        answer = works(with_battery_wh(site, size))
        yield Cure(
            kind="battery",
            value=size,
            unit="Wh",
            mass_kg=size * KG_PER_WH[battery.chemistry],
            cost_rank=2,
            survival_probability=None if answer is None else answer.survival_probability,
        )


def _both(site: Site, panel: Panel, battery: Battery, works: _Works) -> Iterator[Cure]:
    """The lightest pair of larger panel and larger battery."""
    assert panel.stc_w is not None
    assert battery.capacity_wh is not None
    panels = larger_sizes(PANEL_SIZES_W, panel.stc_w)
    per_wh = KG_PER_WH[battery.chemistry]
    best: Cure | None = None
    for battery_wh in larger_sizes(BATTERY_SIZES_WH, battery.capacity_wh):
        if best is not None and best.mass_kg is not None and battery_wh * per_wh >= best.mass_kg:
            break
        larger = with_battery_wh(site, battery_wh)
        size = smallest(panels, lambda w, s=larger: works(with_panel_w(s, w)) is not None)  # type: ignore[misc]
        if size is None:
            continue
        mass = size * PANEL_KG_PER_W + battery_wh * per_wh
        if best is None or best.mass_kg is None or mass < best.mass_kg:
            answer = works(with_panel_w(larger, size))
            best = Cure(
                kind="panel and battery",
                value=size,
                unit="W",
                battery_wh=battery_wh,
                mass_kg=mass,
                cost_rank=3,
                survival_probability=None if answer is None else answer.survival_probability,
            )
        else:
            break  # heavier batteries no longer save panel
    if best is not None:
        yield best


def _not_dominated(found: list[Cure]) -> tuple[Cure, ...]:
    ordered = sorted(
        found, key=lambda cure: (cure.cost_rank > 1, cure.mass_kg or 0.0, cure.cost_rank)
    )
    kept: list[Cure] = []
    for cure in ordered:
        heavier = any(
            known.cost_rank in (2, 3)
            and known.cost_rank <= cure.cost_rank
            and (known.mass_kg or 0.0) <= (cure.mass_kg or 0.0)
            and cure.kind == "panel and battery"
            for known in kept
        )
        if not heavier:
            kept.append(cure)
    return tuple(kept)
