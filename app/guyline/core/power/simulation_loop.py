"""The plain loop of the simulation: what numba compiles, and the oracle it is held against."""

from __future__ import annotations

from numpy.typing import NDArray

from guyline.core.units import Numbers

ROUNDING = 1e-9  # of a demand: less than that is no outage


def simulate_loop(
    panel_w: Numbers,
    clearness_low: float,
    clearness_step: float,
    other_w: Numbers,
    month_of_day: NDArray,  # type: ignore[type-arg]  # int64 array, numba reads no annotations
    clearness: Numbers,
    battery_c: Numbers,
    of_hour_k: Numbers,
    load_w: Numbers,
    idle_w: float,
    usable_25c_wh: float,
    factor: Numbers,
    charge_w: Numbers,
    lowest_c: float,
    shelter_day_k: float,
    charge_efficiency: float,
    self_discharge_per_hour: float,
    start_share: float,
    reconnect_share: float,
    unmet_wh: Numbers,
    first_outage_h: Numbers,
    end_share: Numbers,
) -> None:
    """Fill `unmet_wh` (R, D), `first_outage_h` (R,) and `end_share` (R,) in place.

    See `simulation.simulate` for the meaning of the inputs.
    """
    runs, days = clearness.shape
    kinds = panel_w.shape[1]
    degrees = factor.shape[0]
    for run in range(runs):
        share = start_share
        is_on = share > 0.0
        for day in range(days):
            place = (clearness[run, day] - clearness_low) / clearness_step
            low = int(place)
            if low < 0:
                low = 0
            if low > kinds - 2:
                low = kinds - 2
            weight = place - low
            month = month_of_day[day] - 1
            for hour in range(24):
                sun_w = (
                    panel_w[month, low, hour] * (1.0 - weight)
                    + panel_w[month, low + 1, hour] * weight
                )
                cell_c = battery_c[run, day] + of_hour_k[hour]
                if sun_w > 0.0:
                    cell_c += shelter_day_k
                degree = int(cell_c - lowest_c + 0.5)
                if degree < 0:
                    degree = 0
                if degree > degrees - 1:
                    degree = degrees - 1
                share *= 1.0 - self_discharge_per_hour
                wanted_w = load_w[hour] if is_on else idle_w
                surplus_w = sun_w + other_w[day, hour] - wanted_w
                usable_wh = usable_25c_wh * factor[degree]
                if surplus_w >= 0.0:
                    taken_w = surplus_w
                    if taken_w > charge_w[degree]:
                        taken_w = charge_w[degree]
                    if usable_25c_wh > 0.0:
                        share += taken_w * charge_efficiency / usable_25c_wh
                    if share > 1.0:
                        share = 1.0
                elif usable_wh > 0.0 and share * usable_wh >= -surplus_w * (1.0 - ROUNDING):
                    share = max(0.0, share + surplus_w / usable_wh)
                else:
                    lacking_wh = -surplus_w - share * usable_wh
                    share = 0.0 if usable_wh > 0.0 else share
                    if is_on:
                        unmet_wh[run, day] += lacking_wh
                        if first_outage_h[run] > day * 24 + hour:
                            first_outage_h[run] = day * 24 + hour
                        is_on = False
                        continue
                if not is_on:
                    unmet_wh[run, day] += load_w[hour]
                    if first_outage_h[run] > day * 24 + hour:
                        first_outage_h[run] = day * 24 + hour
                    if share >= reconnect_share:
                        is_on = True
        end_share[run] = share
