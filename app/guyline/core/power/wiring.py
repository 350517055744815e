"""Cables and fuses of a small direct-current system."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Battery, Controller, PowerSystem
from guyline.core.power.battery import USB_V
from guyline.core.power.load import HOURS_PER_DAY
from guyline.core.power.panel import OPEN_OVER_WORKING_V, OPEN_PER_K

# Copper class 5 at 20 °C, IEC 60228, from memory: section in mm² to resistance in ohm/km.
RESISTANCE_OHM_PER_KM = {
    0.5: 39.0,
    0.75: 26.0,
    1.0: 19.5,
    1.5: 13.3,
    2.5: 7.98,
    4.0: 4.95,
    6.0: 3.30,
    10.0: 1.91,
}
# Flexible cables in air at 30 °C, HD 516, from memory: the least of several tables.
CURRENT_LIMIT_A = {
    0.5: 3.0,
    0.75: 6.0,
    1.0: 10.0,
    1.5: 16.0,
    2.5: 20.0,
    4.0: 30.0,
    6.0: 38.0,
    10.0: 55.0,
}
COPPER_PER_K = 0.00393  # resistance of copper, IEC 60028
HOT_CABLE_C = 50.0  # a black cable in the sun: our choice
# Blade fuses by their printed values, DC-rated to 32 V.
FUSES_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0)
CONTINUOUS_FACTOR = 1.25  # NEC 690.8/690.9 and common practice, from memory
PANEL_FACTOR = 1.5625  # 1.25 for bright sun x 1.25 continuous, NEC 690.8, from memory

# Common practice, from memory: share of the voltage that may be lost in a cable.
PANEL_DROP, BATTERY_DROP, LOAD_DROP = 0.05, 0.03, 0.03

# Panels for 12 V batteries: maximum power at about 18 V, short circuit 8 % above that current.
PANEL_OVER_BATTERY_V = 1.5
SHORT_OVER_WORKING_A = 1.08
LARGEST_PULSE = 3.0  # current of the moment over the mean: our choice where nothing is measured


def copper_ohm_per_km(section_mm2: float, cable_c: float = 20.0) -> float:
    r"""Resistance of one conductor, in ohm/km.

    .. math:: R_T = R_{20} (1 + 0.00393 (T - 20))

    References
    ----------
    .. [1] IEC 60228, class 5, from memory; IEC 60028 for the temperature.
    """
    return RESISTANCE_OHM_PER_KM[section_mm2] * (1.0 + COPPER_PER_K * (cable_c - 20.0))


def voltage_drop_v(current_a: float, one_way_m: float, ohm_per_km: float) -> float:
    r"""Voltage lost in both conductors of a cable, in V.

    .. math:: \Delta U = 2 L I R'
    """
    return 2.0 * one_way_m * current_a * ohm_per_km / 1000.0


def longest_run_m(
    current_a: float, voltage_v: float, section_mm2: float, share: float
) -> float | None:
    """One-way length at which a hot cable loses `share` of the voltage, in m.

    None where the section must not carry the current at all.
    """
    if current_a > CURRENT_LIMIT_A[section_mm2]:
        return None
    per_m = voltage_drop_v(current_a, 1.0, copper_ohm_per_km(section_mm2, HOT_CABLE_C))
    return float("inf") if per_m <= 0.0 else share * voltage_v / per_m


def section_for_mm2(
    current_a: float, voltage_v: float, one_way_m: float, share: float
) -> float | None:
    """Smallest section that carries the current and keeps the drop, None beyond 10 mm²."""
    for section in RESISTANCE_OHM_PER_KM:
        reach = longest_run_m(current_a, voltage_v, section, share)
        if reach is not None and reach >= one_way_m:
            return section
    return None


def fuse_a(continuous_a: float) -> float | None:
    """Smallest fuse that a continuous current does not blow, in A, None beyond the largest."""
    wanted = CONTINUOUS_FACTOR * continuous_a
    return next((fuse for fuse in FUSES_A if fuse >= wanted), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class CableRun:
    """One cable of a site.

    `reach_m` pairs each section in mm² that may carry the current with its longest one-way
    length; `fuse_a` is None where the run needs none of its own.
    """

    name: str
    voltage_v: float
    current_a: float
    drop_share: float
    fuse_a: float | None
    reach_m: tuple[tuple[float, float], ...]

    def section_mm2(self, one_way_m: float) -> float | None:
        """Smallest section that is enough for a length, None where none is."""
        return next((mm2 for mm2, longest in self.reach_m if longest >= one_way_m), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wiring:
    """The cables of a site, and the open-circuit voltage that its controller must stand."""

    runs: tuple[CableRun, ...]
    panel_open_v: float | None = None


def wiring_of(
    power: PowerSystem, load_wh_per_day: float | None, coldest_c: float | None
) -> Wiring | None:
    """Return the cables of a system, None where its voltage is unknown.

    Parameters
    ----------
    load_wh_per_day : float or None
        Mean load; the cable is chosen for a multiple of it. [Wh/day]
    coldest_c : float or None
        Lowest temperature, at which a panel's voltage is highest. [°C]

    Notes
    -----
    The panel is taken to fit the battery (36 cells for 12 V). Where its label says otherwise,
    the label holds.
    """
    voltage = _bus_v(power.battery, power.panel is not None and power.panel.controller)
    if voltage is None:
        return None
    runs, open_v = [], None
    if power.panel is not None and power.panel.stc_w:
        panel_v = voltage * PANEL_OVER_BATTERY_V
        if power.panel.controller is Controller.DIRECT_USB:
            panel_v = USB_V
        short_a = power.panel.stc_w / panel_v * SHORT_OVER_WORKING_A
        runs.append(_run("panel to controller", panel_v, PANEL_FACTOR * short_a, PANEL_DROP))
        charge_a = power.panel.stc_w / voltage
        runs.append(_run("controller to battery", voltage, charge_a, BATTERY_DROP, fused=True))
        cold = 25.0 if coldest_c is None else coldest_c
        open_v = panel_v * OPEN_OVER_WORKING_V * (1.0 + OPEN_PER_K * (cold - 25.0))
    if load_wh_per_day is not None:
        load_a = LARGEST_PULSE * load_wh_per_day / HOURS_PER_DAY / voltage
        runs.append(_run("battery to load", voltage, load_a, LOAD_DROP, fused=True))
    return Wiring(runs=tuple(runs), panel_open_v=open_v)


def _bus_v(battery: Battery | None, controller: Controller | bool) -> float | None:
    if battery is not None and battery.is_power_bank:
        return USB_V
    if battery is not None and battery.nominal_v is not None:
        return battery.nominal_v
    return USB_V if controller is Controller.DIRECT_USB else None


def _run(
    name: str, voltage_v: float, current_a: float, share: float, *, fused: bool = False
) -> CableRun:
    fuse = fuse_a(current_a) if fused else None
    carries = current_a if fuse is None else fuse  # the fuse must blow before the cable burns
    reach = [
        (section, longest_run_m(current_a, voltage_v, section, share))
        for section in RESISTANCE_OHM_PER_KM
        if CURRENT_LIMIT_A[section] >= carries
    ]
    return CableRun(
        name=name,
        voltage_v=voltage_v,
        current_a=current_a,
        drop_share=share,
        fuse_a=fuse,
        reach_m=tuple((section, length) for section, length in reach if length is not None),
    )
