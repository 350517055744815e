"""What a value of a plan may be at most and at least.

The limits keep slips of the pen and hostile files out; they are our choice unless a source is
named, and generous, because what is odd but possible is a finding and not an error.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

from guyline.core import plan as p
from guyline.services.plan_files.shape import FieldShape, Path, fields_of
from guyline.services.plan_words import value_words


@dataclass(frozen=True, slots=True)
class Range:
    """From `low` to `high`, both allowed unless `above` says that `low` is not."""

    low: float
    high: float
    above: bool = False

    def __contains__(self, value: float) -> bool:
        return (self.low < value if self.above else self.low <= value) and value <= self.high

    def words(self, field_name: str) -> str:
        low, high = (value_words(field_name, bound) for bound in (self.low, self.high))
        return (
            f"must be above {low} and at most {high}"
            if self.above
            else (f"must be between {low} and {high}")
        )


_FIELDS: dict[tuple[type, str], Range] = {
    (p.Site, "ground_amsl_m"): Range(-500, 9_000),  # the lowest shore is -430 m, from memory
    (p.Site, "payload_bytes"): Range(0, 255),  # the length field of the packet is one byte
    (p.Site, "packets_per_hour"): Range(0, 1_000_000),
    (p.Incident, "mission_days"): Range(1, 3_650),
    (p.RadioProfile, "frequency_hz"): Range(30e6, 6e9),  # ITU-R P.1812-7: 30 MHz to 6 GHz
    (p.RadioProfile, "bandwidth_hz"): Range(0, 10e6, above=True),
    (p.RadioProfile, "spreading_factor"): Range(6, 12),
    (p.RadioProfile, "coding_rate"): Range(5, 8),
    (p.RadioProfile, "preamble_symbols"): Range(1, 65_535),
    (p.RadioProfile, "hop_limit"): Range(0, 255),
    (p.Plan, "earth_k"): Range(0, 100, above=True),
    (p.Radio, "supply_v"): Range(0, 1_000, above=True),
    (p.Antenna, "tilt_deg"): Range(-90, 90),
    (p.Antenna, "beamwidth_azimuth_deg"): Range(0, 360, above=True),
    (p.Feeder, "joints"): Range(0, 100),
    (p.Battery, "nominal_v"): Range(0, 1_000, above=True),
    (p.Battery, "health_fraction"): Range(0, 2),  # a fresh cell holds more than its label says
    (p.Panel, "tilt_deg"): Range(-90, 90),
    (p.Panel, "sunny_hours"): Range(0, 6),
    (p.PowerSystem, "converter_efficiency"): Range(0, 1, above=True),
    (p.PowerSystem, "clearness"): Range(0, 1.5),
    (p.PowerSystem, "backup_hours_needed"): Range(0, 100_000),
    (p.PowerSystem, "mains_hours_per_day"): Range(0, 24),
    (p.PowerSystem, "battery_swap_days"): Range(0, 3_650, above=True),
    (p.Obstacle, "elevation_deg"): Range(0, 90),
    (p.ExtraLoad, "hours_per_day"): Range(0, 24),
    (p.Generator, "fuel_l"): Range(0, 100_000),
    (p.Generator, "fuel_l_per_h"): Range(0, 1_000),
    (p.Site, "flood_amsl_m"): Range(-500, 9_000),
    (p.Mast, "length_m"): Range(0, 300),
    (p.Mast, "diameter_m"): Range(0, 5),
    (p.Mast, "antenna_length_m"): Range(0, 30),
    (p.Mast, "antenna_diameter_m"): Range(0, 5),
    (p.Mast, "gust_m_s"): Range(0, 120),  # the strongest gust measured is 113 m/s, from memory
    (p.ChecklistItem, "quantity"): Range(0, 100_000),
    (p.StockItem, "quantity"): Range(0, 100_000),
    (p.BenchRecord, "spreading_factor"): Range(6, 12),
    (p.BenchRecord, "coding_rate"): Range(5, 8),
    (p.BenchRecord, "vswr"): Range(1, 1_000),  # 1 is a perfect match, by definition
    (p.BenchRecord, "soak_hours"): Range(0, 10_000),
    (p.Need, "priority"): Range(1, 1_000),
    (p.Need, "packets_per_hour"): Range(0, 1_000_000),
    (p.LinkReading, "packets_heard"): Range(0, 1_000_000),
    (p.LinkReading, "packets_sent"): Range(0, 1_000_000),
    (p.Handheld, "antenna_agl_m"): Range(0, 30, above=True),
    (p.ClutterBand, "half_width_m"): Range(0, 20_000),
    (p.ClutterBand, "height_m"): Range(0, 150),  # the tallest tree has 116 m, from memory
    (p.Place, "people"): Range(0, 100_000_000),
    (p.Place, "weight"): Range(0, 1_000_000),
    (p.Place, "servers_wanted"): Range(1, 10),
}

_ENDINGS: dict[str, Range] = {
    "lat_deg": Range(-90, 90),
    "lon_deg": Range(-180, 180),
    "agl_m": Range(0, 500),
    "_db_per_100ft": Range(0, 1_000),
    "_fraction": Range(0, 1),
    "_dbm": Range(-300, 300),
    "_dbi": Range(-100, 100),
    "_db": Range(-300, 300),
    "_deg": Range(-360, 360),
    "_hz": Range(0, 1e12),
    "_wh": Range(0, 1e8),
    "_kg": Range(0, 1e5),
    "_m": Range(0, 1e6),
    "_v": Range(0, 1_000),
    "_a": Range(0, 1_000),
    "_w": Range(0, 1e7),
    "_c": Range(-100, 150),
    "_s": Range(0, 1e9),
}  # longest first, as one may be the end of another

_ANY_NUMBER = Range(-1e12, 1e12)

_LONGEST_LIST: dict[tuple[type, str], int] = {
    (p.Plan, "sites"): 5_000,
    (p.Plan, "links"): 20_000,
    (p.Plan, "needs"): 20_000,
    (p.Plan, "places"): 5_000,
    (p.Plan, "stock"): 20_000,
    (p.Plan, "clutter"): 5_000,
    (p.Plan, "readings"): 20_000,
}
_LONGEST_LIST_ELSEWHERE = 500
_LONGEST_IDENTIFIER = 40
_LONGEST_TEXT = 10_000


@cache
def range_of(group: type, field_name: str) -> Range:
    """Return what a number in this field may be."""
    by_ending = (limit for end, limit in _ENDINGS.items() if field_name.endswith(end))
    return _FIELDS.get((group, field_name)) or next(by_ending, _ANY_NUMBER)


def longest_text(field_name: str) -> int:
    """Return how many characters this field may hold."""
    return _LONGEST_IDENTIFIER if field_name.endswith("_id") else _LONGEST_TEXT


def longest_list(group: type, field_name: str) -> int:
    """Return how many items this field may hold."""
    return _LONGEST_LIST.get((group, field_name), _LONGEST_LIST_ELSEWHERE)


def outside_limits(raw_plan: object) -> list[tuple[Path, str]]:
    """Return place and complaint for every value of a raw plan that is outside its limits.

    Values of the wrong type are passed over; reading them strictly is what finds those.
    """
    found: list[tuple[Path, str]] = []
    _look(p.Plan, raw_plan, (), found)
    return found


def _look(group: type, raw: object, path: Path, found: list[tuple[Path, str]]) -> None:
    if not isinstance(raw, dict):
        return
    for shape in fields_of(group):
        value = raw.get(shape.name)
        if isinstance(value, list):
            longest = longest_list(group, shape.name)
            if len(value) > longest:
                found.append(((*path, shape.name), f"must hold at most {longest:,} entries"))
            for n, entry in enumerate(value):
                _look_at_value(group, shape, entry, (*path, shape.name, n), found)
        elif value is not None:
            _look_at_value(group, shape, value, (*path, shape.name), found)


def _look_at_value(
    group: type, shape: FieldShape, value: object, path: Path, found: list[tuple[Path, str]]
) -> None:
    if shape.is_group:
        _look(shape.kind, value, path, found)
    elif complaint := _complaint(group, shape.name, value):
        found.append((path, complaint))


def _complaint(group: type, field_name: str, value: object) -> str:
    if isinstance(value, str):
        return _text_complaint(field_name, value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return ""
    limit = range_of(group, field_name)
    if value in limit or not math.isfinite(value):
        return ""
    return f"{limit.words(field_name)}, but is {value_words(field_name, value)}"


def _text_complaint(field_name: str, text: str) -> str:
    longest = longest_text(field_name)
    if len(text) > longest:
        return f"must have at most {longest:,} characters, but has {len(text):,}"
    if field_name == "site_id" and (not text.isprintable() or text.strip() != text or not text):
        return "must be a word without spaces around it, as it is printed on every sheet"
    return ""
