"""Words for the fields of a plan, where problems, changes and conflicts are told."""

from __future__ import annotations

import re
from collections.abc import Collection
from datetime import date
from enum import StrEnum

_UNITS = {
    "_db_per_100ft": "dB/100 ft",
    "_dbm": "dBm",
    "_dbi": "dBi",
    "_db": "dB",
    "_hz": "Hz",
    "_deg": "°",
    "_wh": "Wh",
    "_kg": "kg",
    "_m": "m",
    "_v": "V",
    "_a": "A",
    "_w": "W",
    "_c": "°C",
    "_s": "s",
    "_l": "l",
    "_l_per_h": "l/h",
}  # longest first: "_dbm" must not be taken for "_m"

_WORDS = {
    "amsl": "height above sea level",
    "agl": "height above ground",
    "lat": "latitude",
    "lon": "longitude",
    "sd": "standard deviation",
    "tx": "transmit",
    "stc": "rated",
    "psd": "power density",
    "id": "identifier",
}

_FIELDS = {
    "site_id": "identifier",
    "from_id": "first site",
    "to_id": "second site",
    "start_on": "start date",
    "earth_k": "effective Earth radius factor",
    "stc_w": "rated power",
    "receive_a": "receive current",
    "transmit_a": "transmit current",
    "host_a": "board current",
    "supply_v": "supply voltage",
    "nominal_v": "nominal voltage",
    "power_w": "power",
    "capacity_wh": "capacity",
    "low_voltage_disconnect_v": "low-voltage disconnect",
    "reconnect_v": "reconnect voltage",
    "coldest_c": "lowest battery temperature",
    "low_hz": "lowest frequency",
    "high_hz": "highest frequency",
    "uncertainty_m": "position uncertainty",
    "power": "power system",
    "rated_w": "rated power",
    "charger_w": "charger power",
    "mains_charger_w": "power of the mains charger",
    "mains_hours_per_day": "hours of mains a day",
    "fuel_l_per_h": "fuel consumption",
    "converter_quiescent_w": "converter quiescent power",
    "controller_quiescent_w": "controller quiescent power",
    "beamwidth_azimuth_deg": "beamwidth in azimuth",
    "mains_has_rcd": "mains has RCD",
    "trees_m": "way through trees",
    "coding_rate": "coding rate denominator",
    "supply_a": "supply current",
    "battery_wh": "energy of the battery",
    "vswr": "VSWR",
    "pass_fraction": "share that passes",
}


_NONE = {"assigned_to": "free"}
"""What None means where it is no gap in what is known."""


def unit_of(field_name: str) -> str:
    """Return the unit that the end of a field's name tells, or nothing."""
    return next((unit for end, unit in _UNITS.items() if field_name.endswith(end)), "")


def field_words(field_name: str) -> str:
    """Return what people call a field: `antenna_agl_m` is "antenna height above ground"."""
    if field_name in _FIELDS:
        return _FIELDS[field_name]
    bare = next(
        (field_name[: -len(end)] for end in _UNITS if field_name.endswith(end)), field_name
    )
    bare = re.sub(r"^(is|has)_", "", bare)
    return " ".join(_WORDS.get(word, word) for word in bare.split("_"))


def value_words(field_name: str, value: object) -> str:
    """Return a value as people read it, with its unit; None is "unknown"."""
    match value:
        case None:
            return _NONE.get(field_name, "unknown")
        case bool():
            return "yes" if value else "no"
        case StrEnum():
            return value.value
        case float() | int():
            unit = unit_of(field_name)
            number = f"{value:.10g}"
            return number + unit if unit in ("°", "") else f"{number} {unit}"
        case date():
            return value.isoformat()
        case str():
            return quoted(value) if value else "nothing"
        case Collection():
            return ", ".join(sorted(value_words(field_name, item) for item in value)) or "none"
    return str(value)


def quoted(text: str, longest: int = 60) -> str:
    """Return text in quotes on one line, without control characters, and cut if long."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return f"'{line if len(line) <= longest else line[: longest - 1] + '…'}'"
