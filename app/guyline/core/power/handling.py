"""What a battery asks of those who carry, ship and house it."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import Battery, Chemistry

# IATA/ICAO passenger limits as batteriestransport.org (2024) prints them.
FREE_IN_AIR_WH, APPROVAL_IN_AIR_WH = 100.0, 160.0
# ADR/IMDG special provision 188, 49 CFR 173.185(c), from memory.
SMALL_BATTERY_WH = 100.0
TWO_PERSONS_KG = 16.0  # common practice, no source
# IEC 62485-2 / EN 50272-2: Q = v q s n I C / 1000 with v = 24, q = 0.42e-3 m³/Ah, s = 5.
VENTILATION_FACTOR = 0.05
OPENING_CM2_PER_M3_H = 28.0
VALVE_REGULATED_BOOST_MA_PER_AH = 8.0
LEAD_CELL_V = 2.0
# Electrolyte of lead-acid freezes: full -57 °C, 70 % -27 °C, half -15 °C, 20 % -7 °C, from memory.
MAY_FREEZE_BELOW_C = -10.0
KG_PER_WH = {
    Chemistry.LIFEPO4: 0.0105,  # blocks with case and electronics: common practice, no source
    Chemistry.NMC: 0.0065,
    Chemistry.AGM: 0.030,
    Chemistry.ALKALINE: 0.0085,
    Chemistry.LI_FES2: 0.0040,
    Chemistry.LI_SOCL2: 0.0030,
}

_UN_NUMBER = {
    Chemistry.LIFEPO4: "UN3480",
    Chemistry.NMC: "UN3480",
    Chemistry.AGM: "UN2800",
    Chemistry.ALKALINE: "",
    Chemistry.LI_FES2: "UN3090",
    Chemistry.LI_SOCL2: "UN3090",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Handling:
    """Rules for one battery; each text is a whole line for the sheet.

    `opening_cm2` is the free area of each of two openings, one low and one high; None where
    the battery gives off no gas in normal use.
    """

    un_number: str
    air: str
    road: str
    opening_cm2: float | None
    ventilation: str
    cautions: tuple[str, ...]


def ventilation_m3_h(
    cells: int, gas_current_ma_per_ah: float, capacity_ah: float, *, factor: float = 0.0504
) -> float:
    r"""Air that must pass a gassing battery, in m³/h.

    .. math:: Q = v q s n I_{gas} C_{rt} / 1000

    Parameters
    ----------
    gas_current_ma_per_ah : float
        1 float and 8 boost for valve-regulated lead-acid, 5 and 20 for vented, 5 and 50 for
        nickel-cadmium. [mA/Ah]
    factor : float
        v q s; 24 x 0.42e-3 x 5 exactly, or the rounded 0.05 of the standard.

    References
    ----------
    .. [1] IEC 62485-2 / EN 50272-2, clause 7.
    """
    return factor * cells * gas_current_ma_per_ah * capacity_ah / 1000.0


def opening_cm2(air_m3_h: float) -> float:
    """Free area of each of two openings for natural ventilation, in cm²."""
    return OPENING_CM2_PER_M3_H * air_m3_h


def battery_kg(battery: Battery) -> float | None:
    """Mass by chemistry and size, in kg; None where the size is unknown."""
    return (
        None if battery.capacity_wh is None else battery.capacity_wh * KG_PER_WH[battery.chemistry]
    )


def handling_of(battery: Battery, coldest_c: float | None = None) -> Handling | None:
    """Return the rules for a battery, None where its size is unknown."""
    if battery.capacity_wh is None:
        return None
    return Handling(
        un_number=_UN_NUMBER[battery.chemistry],
        air=_air(battery, battery.capacity_wh),
        road=_road(battery, battery.capacity_wh),
        opening_cm2=_opening(battery, battery.capacity_wh),
        ventilation=_ventilation(battery),
        cautions=_cautions(battery, coldest_c),
    )


def _is_lithium_ion(battery: Battery) -> bool:
    return battery.chemistry in (Chemistry.LIFEPO4, Chemistry.NMC)


def _air(battery: Battery, capacity_wh: float) -> str:
    if not _is_lithium_ion(battery):
        if battery.chemistry is Chemistry.AGM:
            return "By air only as cargo or after asking the carrier."
        return "By air: cells in their package or with insulated terminals; ask the carrier."
    if capacity_wh <= FREE_IN_AIR_WH:
        return "By air in hand luggage, terminals insulated (100 Wh or less)."
    if capacity_wh <= APPROVAL_IN_AIR_WH:
        return "By air only with the carrier's approval, two at most (100 to 160 Wh)."
    return "Not in a passenger aircraft (more than 160 Wh)."


def _road(battery: Battery, capacity_wh: float) -> str:
    number = _UN_NUMBER[battery.chemistry]
    if battery.chemistry is Chemistry.ALKALINE:
        return "By road: terminals insulated."
    if battery.chemistry is Chemistry.AGM:
        return f"By road as {number}, non-spillable: upright, terminals insulated, tied down."
    if capacity_wh <= SMALL_BATTERY_WH:
        return f"By road as a small battery of {number}: tested to UN 38.3, terminals insulated."
    return f"By road as {number}, dangerous goods of class 9: ask the carrier."


def _opening(battery: Battery, capacity_wh: float) -> float | None:
    if battery.chemistry is not Chemistry.AGM:
        return None
    voltage = battery.nominal_v or 12.0
    cells = round(voltage / LEAD_CELL_V)
    air = ventilation_m3_h(
        cells, VALVE_REGULATED_BOOST_MA_PER_AH, capacity_wh / voltage, factor=VENTILATION_FACTOR
    )
    return opening_cm2(air)


def _ventilation(battery: Battery) -> str:
    if battery.chemistry is Chemistry.AGM:
        return "Gives off hydrogen when charged: one opening low, one high, no sparks near them."
    return "Do not seal the box airtight; never charge where people sleep."


def _cautions(battery: Battery, coldest_c: float | None) -> tuple[str, ...]:
    lines = ["A damaged or flooded battery is never carried, charged or shipped."]
    if battery.chemistry is Chemistry.AGM:
        lines.append("Eye protection; insulated tools; no rings or watches.")
        if coldest_c is not None and coldest_c < MAY_FREEZE_BELOW_C:
            lines.append("Freezes and bursts when discharged: keep it more than half charged.")
    elif _is_lithium_ion(battery):
        lines.append("If it smokes or swells: move away, cool with much water from afar.")
    else:
        lines.append("Primary cells are never charged.")
    mass = battery_kg(battery)
    if mass is not None and mass > TWO_PERSONS_KG:
        lines.append(f"About {mass:.0f} kg: two persons lift it.")
    return tuple(lines)
