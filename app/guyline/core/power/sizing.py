"""Which panel goes with which battery at equal reliability."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import PowerSource, Site
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.cure_changes import with_battery_wh, with_panel_w
from guyline.core.power.cures import Assess, is_enough, smallest
from guyline.core.power.requirements import requirement_of
from guyline.core.power.sizes import BATTERY_SIZES_WH, PANEL_SIZES_W


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
