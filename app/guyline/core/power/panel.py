"""What a panel brings to the terminals of a battery."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from guyline.core.plan import Chemistry, Controller
from guyline.core.power.battery import CHEMISTRIES
from guyline.core.power.daily_clearness import DailyClearness
from guyline.core.units import Numbers

STC_W_M2 = 1000.0  # irradiance of the standard test conditions, IEC 60904-3
STC_CELL_C = 25.0
POWER_PER_K = -0.004  # crystalline silicon, -0.0035 to -0.0045: data sheets, from memory
FAIMAN_U0, FAIMAN_U1 = 25.0, 6.84  # Faiman 2008, as in pvlib.temperature.faiman
WIND_M_S = 1.0  # little wind at the back of a small panel: our choice

SOILING = 0.95  # 3 to 8 % between rains, Hammond 1997; 10 % customary for telecom
# Mismatch, connections, light-induced loss and nameplate of the NREL loss defaults in pvlib,
# with 2 % of wiring.
MISMATCH_AND_WIRING = 0.93
TEMPORARY_MOUNTING = 0.96  # tilt 10 and azimuth 20 degrees off, from hourly files, rederived
CONTROLLER_EFFICIENCY = {
    Controller.MPPT: 0.95,  # 0.93 to 0.98: data sheets, from memory
    Controller.PWM: 0.75,  # battery over panel voltage, published losses of 15 to 35 %
    Controller.DIRECT_USB: 0.80 * 0.85,  # regulator, and drop-outs under cloud: from memory
}
OPEN_OVER_WORKING_V = 1.22  # 22 V of panels of 18 V: data sheets, from memory
OPEN_PER_K = -0.003  # open-circuit voltage of crystalline silicon: data sheets, from memory
OPEN_PER_LOG_LIGHT = 0.05  # thermal voltage of the diode over that of a cell, 0.031 / 0.61
SNOW_TILT_DEG = (0.0, 30.0, 45.0, 60.0)
SNOW_FACTOR = (0.30, 0.70, 0.85, 0.95)  # months with a mean below 0 °C: from memory


@dataclass(frozen=True, slots=True, eq=False)
class SunTable:
    """Irradiance on a panel by month, kind of day and hour of solar time.

    Attributes
    ----------
    clearness : array (K,)
        Daily clearness the table is made for, ascending.
    poa_w_m2 : array (12, K, 24)
        Mean irradiance on the panel's plane in each hour. [W/m²]
    clear_clearness : array (12,)
        Clearness of a cloudless day.
    """

    clearness: Numbers
    poa_w_m2: Numbers
    clear_clearness: Numbers
    tilt_deg: float
    azimuth_deg: float

    def mean_day_w_m2(self, month: int, kinds: Numbers) -> Numbers:
        """Irradiance over the hours of the mean day of a month (1 to 12), shape (24,), in W/m².

        The mean is taken over dull and bright days, because a mean day's sun on a tilted panel
        is more than the mean of the days.

        Parameters
        ----------
        kinds : array (N,)
            Clearness of equally frequent kinds of day.
        """
        index = np.interp(kinds, self.clearness, np.arange(len(self.clearness), dtype=float))
        low = np.minimum(index.astype(int), len(self.clearness) - 2)
        weight = (index - low)[:, None]
        table = self.poa_w_m2[month - 1]
        mean: Numbers = (table[low] * (1.0 - weight) + table[low + 1] * weight).mean(axis=0)
        return mean


def cell_c(poa_w_m2: Numbers, ambient_c: float | Numbers) -> Numbers:
    r"""Temperature of a panel's cells, in °C.

    .. math:: T_c = T_a + G / (u_0 + u_1 v)

    References
    ----------
    .. [1] Faiman 2008, Progress in Photovoltaics 16:307-315.
    """
    warm: Numbers = ambient_c + poa_w_m2 / (FAIMAN_U0 + FAIMAN_U1 * WIND_M_S)
    return warm


def panel_w(
    stc_w: float | Numbers, poa_w_m2: Numbers, ambient_c: float | Numbers = STC_CELL_C
) -> Numbers:
    r"""Power of a clean panel at its maximum power point, in W.

    .. math:: P = P_{STC} \frac{G}{1000} (1 + \gamma (T_c - 25))

    References
    ----------
    .. [1] Dobos 2014, PVWatts version 5, NREL/TP-6A20-62641, eq. (8).
    """
    heat = 1.0 + POWER_PER_K * (cell_c(poa_w_m2, ambient_c) - STC_CELL_C)
    power: Numbers = stc_w * poa_w_m2 / STC_W_M2 * heat
    return power


def open_circuit_v(working_v: float, poa_w_m2: float, ambient_c: float = STC_CELL_C) -> float:
    r"""Voltage of a panel without load, in V.

    .. math:: V_{oc} = 1.22 V_{mp} (1 + 0.05 \ln(G / 1000)) (1 + \beta (T_c - 25))

    Parameters
    ----------
    working_v : float
        Voltage at the maximum power point under standard conditions. [V]

    Notes
    -----
    The logarithm is the diode's: n k T / q of 1.2 x 25.7 mV against some 0.61 V a cell. Below
    20 W/m² real panels show less.

    References
    ----------
    .. [1] De Soto, Klein & Beckman 2006, Solar Energy 80:78-88 (form of the equation).
    """
    if poa_w_m2 <= 0.0:
        return 0.0
    cell = float(cell_c(np.asarray(poa_w_m2), ambient_c))
    light = 1.0 + OPEN_PER_LOG_LIGHT * float(np.log(poa_w_m2 / STC_W_M2))
    heat = 1.0 + OPEN_PER_K * (cell - STC_CELL_C)
    return max(0.0, working_v * OPEN_OVER_WORKING_V * light * heat)


def snow_factor(tilt_deg: float, mean_c: float) -> float:
    """Share of a month's sun that snow on the panel leaves, 1 in months above 0 °C."""
    if mean_c >= 0.0:
        return 1.0
    return float(np.interp(tilt_deg, SNOW_TILT_DEG, SNOW_FACTOR))


def delivery_efficiency(controller: Controller) -> float:
    """Share of the panel's power that comes out of the controller."""
    return SOILING * MISMATCH_AND_WIRING * TEMPORARY_MOUNTING * CONTROLLER_EFFICIENCY[controller]


def chain_efficiency(controller: Controller, chemistry: Chemistry) -> float:
    """Share of the panel's power that is stored in the battery."""
    return delivery_efficiency(controller) * CHEMISTRIES[chemistry].charge_efficiency


def charger_w(
    sun: SunTable, stc_w: float, efficiency: float, ambient_c_by_month: Numbers
) -> Numbers:
    """Power out of the controller by month, kind of day and hour, shape (12, K, 24), in W.

    Parameters
    ----------
    efficiency : float
        Share of the panel's power that comes out of the controller.
    ambient_c_by_month : array (12,)
        Mean temperature, which also decides on snow. [°C]
    """
    snow = np.array([snow_factor(sun.tilt_deg, float(c)) for c in ambient_c_by_month])
    power = panel_w(stc_w, sun.poa_w_m2, ambient_c_by_month[:, None, None])
    delivered: Numbers = power * efficiency * snow[:, None, None]
    return delivered


def monthly_yield_wh_per_day(
    sun: SunTable,
    days: DailyClearness,
    stc_w: float,
    efficiency: float,
    ambient_c_by_month: Numbers | None = None,
) -> Numbers:
    """Energy stored on the mean day of each month, shape (12,), in Wh/day.

    Parameters
    ----------
    efficiency : float
        Share of the panel's power that is stored.
    ambient_c_by_month : array (12,) or None
        Mean temperature, which also decides on snow; None counts 25 °C. [°C]
    """
    result = np.empty(12)
    for month in range(1, 13):
        poa_w_m2 = sun.mean_day_w_m2(month, days.kinds(month))
        ambient_c = STC_CELL_C if ambient_c_by_month is None else ambient_c_by_month[month - 1]
        snow = snow_factor(sun.tilt_deg, float(ambient_c))
        result[month - 1] = panel_w(stc_w, poa_w_m2, ambient_c).sum() * efficiency * snow
    return result
