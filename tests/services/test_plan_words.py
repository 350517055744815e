from __future__ import annotations

from dataclasses import fields
from datetime import date

import pytest

from guyline.core import plan as p
from guyline.core.plan import Chemistry, Fact, Hazard
from guyline.services.plan_words import field_words, quoted, unit_of, value_words


@pytest.mark.parametrize(
    ("name", "words", "unit"),
    [
        ("antenna_agl_m", "antenna height above ground", "m"),
        ("lat_deg", "latitude", "°"),
        ("tx_power_dbm", "transmit power", "dBm"),
        ("gain_dbi", "gain", "dBi"),
        ("required_margin_db", "required margin", "dB"),
        ("is_granted", "granted", ""),
        ("capacity_wh", "capacity", "Wh"),
        ("low_voltage_disconnect_v", "low-voltage disconnect", "V"),
        ("notes", "notes", ""),
    ],
)
def test_a_field_has_a_name_for_people_and_a_unit(name: str, words: str, unit: str) -> None:
    assert (field_words(name), unit_of(name)) == (words, unit)


def test_no_two_fields_of_a_group_are_called_the_same() -> None:
    groups = [getattr(p, name) for name in p.__all__ if hasattr(getattr(p, name), "__slots__")]
    for group in groups:
        names = [field_words(f.name) for f in fields(group)]
        assert len(set(names)) == len(names), group
    assert len(groups) > 15


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("antenna_agl_m", 8.0, "8 m"),
        ("lat_deg", -45.1234567, "-45.1234567°"),
        ("earth_k", 4 / 3, "1.333333333"),
        ("ground_amsl_m", None, "unknown"),
        ("is_granted", Fact.UNKNOWN, "unknown"),
        ("has_arrestor", True, "yes"),
        ("chemistry", Chemistry.AGM, "lead-acid AGM"),
        ("start_on", date(2031, 6, 1), "2031-06-01"),
        ("name", "", "nothing"),
        ("name", "The hall", "'The hall'"),
        ("hazards", frozenset({Hazard.MAINS, Hazard.FIRE}), "fire ground, mains"),
        ("hazards", frozenset(), "none"),
    ],
)
def test_a_value_is_told_with_its_unit(name: str, value: object, words: str) -> None:
    assert value_words(name, value) == words


def test_hostile_text_is_quoted_on_one_short_line() -> None:
    told = quoted("a\x1b[31m\n\u202eb" + "x" * 500)
    assert told.startswith("'a [31m b")
    assert len(told) == 62
    assert told.isprintable()
