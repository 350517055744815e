"""What a battery's voltage at rest tells of its state of charge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.plan import Battery, Chemistry

CELL_V = {Chemistry.LIFEPO4: 3.2, Chemistry.NMC: 3.65, Chemistry.AGM: 2.0}  # nominal
REST_SOURCE = "voltage of cells at rest: common practice, no source"
REST_CONFIDENCE = (
    "from memory; holds for loads below a twentieth of the capacity an hour at 25 °C, and is flat"
    " for LiFePO4: 0.1 V of a 12.8 V battery may be a fifth of its charge"
)
_CHARGE = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
# From memory; the disconnects usual in the trade (LiFePO4 3.0, lead-acid 1.92 to 1.98 and Li-ion
# 3.0 to 3.3 V a cell) fall near the lower end of each row.
REST_V: dict[Chemistry, tuple[float, ...]] = {
    Chemistry.LIFEPO4: (
        *(2.50, 3.00, 3.20, 3.225, 3.250, 3.262),
        *(3.275, 3.300, 3.325, 3.350, 3.400),
    ),
    Chemistry.NMC: (3.00, 3.60, 3.68, 3.72, 3.75, 3.79, 3.85, 3.92, 4.00, 4.08, 4.20),
    Chemistry.AGM: (
        *(1.750, 1.918, 1.943, 1.968, 1.992, 2.008),
        *(2.025, 2.050, 2.083, 2.125, 2.142),
    ),
}
# A load that was cut off comes back while the battery is being charged, and a cell shows more
# then: the lower end of what light currents raise it by, from memory.
CHARGING_RISE_V = {Chemistry.LIFEPO4: 0.05, Chemistry.NMC: 0.04, Chemistry.AGM: 0.08}


@dataclass(frozen=True, slots=True, kw_only=True)
class RestRange:
    """Voltages of an empty and of a full battery at rest, in V."""

    empty_v: float
    full_v: float


def cells_in_series(battery: Battery) -> int | None:
    """Number of cells behind the nominal voltage, None where either is unknown."""
    cell_v = CELL_V.get(battery.chemistry)
    if cell_v is None or battery.nominal_v is None or battery.is_power_bank:
        return None
    return max(1, round(battery.nominal_v / cell_v))


def rest_range(battery: Battery) -> RestRange | None:
    """Return the voltages at rest, None where no row or no nominal voltage tells them."""
    cells = cells_in_series(battery)
    if cells is None:
        return None
    row = REST_V[battery.chemistry]
    return RestRange(empty_v=cells * row[0], full_v=cells * row[-1])


def charge_at_rest(battery: Battery, volts: float) -> float | None:
    """State of charge (0 to 1) at which a battery at rest shows a voltage.

    Linear between the values of the chemistry's row; 0 below and 1 above its ends. None where
    the nominal voltage is unknown, and for power banks and primary cells.

    Notes
    -----
    Under load a battery shows less than at rest: a disconnect cuts a heavily loaded one off
    earlier than this.
    """
    cells = cells_in_series(battery)
    if cells is None:
        return None
    return float(np.interp(volts / cells, REST_V[battery.chemistry], _CHARGE))


def disconnect_charge(battery: Battery) -> float | None:
    """State of charge at which the load is cut off, None where that cannot be told."""
    off = battery.low_voltage_disconnect_v
    return None if off is None else charge_at_rest(battery, off)


def reconnect_rise(battery: Battery) -> float | None:
    """Charge that must come back before the load does, as a share of the capacity, or None."""
    off, on, cells = (
        battery.low_voltage_disconnect_v,
        battery.reconnect_v,
        cells_in_series(battery),
    )
    if off is None or on is None or cells is None:
        return None
    at_rest_v = on - cells * CHARGING_RISE_V[battery.chemistry]
    low, high = charge_at_rest(battery, off), charge_at_rest(battery, at_rest_v)
    return None if low is None or high is None else max(0.0, high - low)
