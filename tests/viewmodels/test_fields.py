"""Fields: what is shown can be entered again, and what is entered can be saved."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Chemistry, Fact, Plan, Site, SiteId, Units
from guyline.core.units import FOOT_M
from guyline.errors import InputError
from guyline.services.plan_files import plan_from_bytes, plan_to_bytes
from guyline.viewmodels.fields import (
    Field,
    Kind,
    edited,
    in_units,
    is_available,
    read_number,
    shown,
    shown_with_unit,
    value_at,
)
from guyline.viewmodels.plan_fields import PLAN_GROUPS
from guyline.viewmodels.site_fields import SITE_FIELDS
from stories import HILL, SHED, three_sites

PLAN_FIELDS = {field.path: field for group in PLAN_GROUPS for field in group.fields}
HEIGHT = SITE_FIELDS["antenna_agl_m"]
BLANK = Site(site_id=SiteId("NEW"))


@pytest.mark.parametrize("path", SITE_FIELDS)
@pytest.mark.parametrize("site_id", [HILL, SHED])
def test_what_is_shown_of_a_site_can_be_entered_again_without_changing_it(
    path: str, site_id: SiteId
) -> None:
    site = three_sites().site(site_id)
    assert edited(SITE_FIELDS[path], site, shown(SITE_FIELDS[path], site)) == site


@pytest.mark.parametrize("path", PLAN_FIELDS)
def test_what_is_shown_of_a_plan_can_be_entered_again_without_changing_it(path: str) -> None:
    plan = three_sites()
    again = edited(PLAN_FIELDS[path], plan, shown(PLAN_FIELDS[path], plan))
    if path == "earth_k":  # 4/3 has no end in decimals
        assert again.earth_k == pytest.approx(plan.earth_k, rel=1e-9)
    else:
        assert again == plan


@pytest.mark.parametrize("end", ["minimum", "maximum"])
@pytest.mark.parametrize("path", [p for p, f in SITE_FIELDS.items() if f.is_numeric])
def test_the_ends_of_every_range_of_a_site_can_be_saved_and_read(path: str, end: str) -> None:
    field, plan = SITE_FIELDS[path], three_sites()
    limit = getattr(field, end)
    site = edited(field, plan.site(HILL), f"{limit:.10g}")
    assert value_at(site, path) == pytest.approx(limit * field.scale)
    after = plan.with_site(site)
    assert plan_from_bytes(plan_to_bytes(after)) == after


@pytest.mark.parametrize("end", ["minimum", "maximum"])
@pytest.mark.parametrize("path", [p for p, f in PLAN_FIELDS.items() if f.is_numeric])
def test_the_ends_of_every_range_of_a_plan_can_be_saved_and_read(path: str, end: str) -> None:
    field = PLAN_FIELDS[path]
    after = edited(field, three_sites(), f"{getattr(field, end):.10g}")
    assert plan_from_bytes(plan_to_bytes(after)) == after


@pytest.mark.parametrize("path", [p for p, f in SITE_FIELDS.items() if f.is_numeric])
def test_a_number_outside_its_range_is_refused_and_the_range_told(path: str) -> None:
    field = SITE_FIELDS[path]
    with pytest.raises(InputError, match="is outside"):
        edited(field, three_sites().site(HILL), f"{field.maximum + 1:.10g}")


@pytest.mark.parametrize("text", ["nan", "inf", "1e999", "eight", "8 m 3"])
def test_what_is_no_finite_number_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        edited(HEIGHT, BLANK, text)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("8", 8.0), ("8.5", 8.5), ("8,5", 8.5), ("8 m", 8.0), ("8m", 8.0), ("30 ft", 30 * FOOT_M)],
)
def test_a_height_is_read_with_or_without_its_unit(text: str, metres: float) -> None:
    assert edited(HEIGHT, BLANK, text).antenna_agl_m == pytest.approx(metres)


def test_a_frequency_is_shown_in_mhz_and_kept_in_hz() -> None:
    field = PLAN_FIELDS["radio_profile.frequency_hz"]
    plan = edited(field, Plan(), "868.3")
    assert plan.radio_profile.frequency_hz == pytest.approx(868_300_000.0)
    assert shown_with_unit(field, plan) == "868.300 MHz"


def test_an_empty_number_is_unknown_and_never_zero() -> None:
    site = edited(HEIGHT, replace(BLANK, antenna_agl_m=8.0), "")
    assert site.antenna_agl_m is None
    assert shown(HEIGHT, site) == ""


def test_a_value_that_must_be_known_cannot_be_emptied() -> None:
    with pytest.raises(InputError, match="empty"):
        edited(PLAN_FIELDS["radio_profile.bandwidth_hz"], Plan(), "")


@pytest.mark.parametrize(
    "text", ["-45.5, 170.25", "45.5 S 170.25 E", "45 30.0 S 170 15.0 E", "geo:-45.5,170.25"]
)
def test_a_position_is_read_in_any_usual_notation(text: str) -> None:
    position = edited(SITE_FIELDS["position"], BLANK, text).position
    assert position is not None
    assert (position.lat_deg, position.lon_deg) == pytest.approx((-45.5, 170.25))


def test_what_had_to_be_assumed_of_a_position_is_kept_as_its_source() -> None:
    position = edited(SITE_FIELDS["position"], BLANK, "95, 10").position  # no latitude of 95
    assert position is not None
    assert (position.lat_deg, position.lon_deg) == (10.0, 95.0)
    assert len(position.source) > len("entered by hand")


@pytest.mark.parametrize("text", ["somewhere", "45", "95, 100", "10, 190"])
def test_what_is_no_position_is_refused(text: str) -> None:
    with pytest.raises(InputError):
        edited(SITE_FIELDS["position"], BLANK, text)


def test_a_moved_position_says_that_a_person_entered_it() -> None:
    site = edited(SITE_FIELDS["position"], three_sites().site(HILL), "-45.1, -29.9")
    assert site.position is not None
    assert (site.position.lat_deg, site.position.lon_deg) == (-45.1, -29.9)
    assert site.position.source.startswith("entered by hand")
    assert site.position.uncertainty_m is None  # what was measured elsewhere is not known here


def test_what_belongs_to_a_missing_position_cannot_be_entered_yet() -> None:
    field = SITE_FIELDS["position.source"]
    assert not is_available(field, BLANK)
    with pytest.raises(InputError, match="no position"):
        edited(field, BLANK, "map")


def test_a_battery_comes_into_being_with_its_first_number() -> None:
    site = edited(SITE_FIELDS["power.battery.capacity_wh"], BLANK, "400")
    assert site.power.battery is not None
    assert site.power.battery.capacity_wh == 400.0
    assert site.power.battery.chemistry is Chemistry.LIFEPO4
    assert site.power.battery.is_tested is Fact.UNKNOWN


def test_emptying_the_limit_takes_the_radio_rule_away() -> None:
    plan = edited(PLAN_FIELDS["radio_rule.limit_dbm"], three_sites(), "")
    assert plan.radio_rule is None


def test_a_limit_makes_a_rule_and_nothing_else_does() -> None:
    assert edited(PLAN_FIELDS["radio_rule.limit_dbm"], Plan(), "14").radio_rule is not None
    with pytest.raises(InputError, match="no radio rule"):
        edited(PLAN_FIELDS["radio_rule.name"], Plan(), "Band 54")


def test_a_choice_is_read_whatever_its_case_and_others_are_refused() -> None:
    field = SITE_FIELDS["function"]
    assert edited(field, BLANK, "Relay").function.value == "relay"
    with pytest.raises(InputError, match="not one of its choices") as refusal:
        edited(field, BLANK, "tower")
    assert "gateway" in refusal.value.advice


def test_a_number_with_another_unit_is_refused() -> None:
    with pytest.raises(InputError):
        read_number("8 V", "m")


def test_a_heading_carries_the_unit() -> None:
    assert Field(path="x", title="Width", kind=Kind.NUMBER, unit="m").heading == "Width [m]"


LENGTH_IN_FEET = in_units(HEIGHT, Units.IMPERIAL)


def test_a_height_is_shown_and_read_in_feet_where_the_plan_says_so() -> None:
    assert LENGTH_IN_FEET.unit == "ft"
    site = edited(LENGTH_IN_FEET, BLANK, "30")
    assert site.antenna_agl_m == pytest.approx(9.144)  # 30 ft of 0.3048 m, exact
    assert shown(LENGTH_IN_FEET, site) == "30.0"
    assert shown_with_unit(LENGTH_IN_FEET, site) == "30.0 ft"


@pytest.mark.parametrize("text", ["10 m", "32.808398950 ft", "0.01 km"])
def test_a_length_may_be_typed_in_the_other_unit(text: str) -> None:
    assert edited(LENGTH_IN_FEET, BLANK, text).antenna_agl_m == pytest.approx(10.0)


def test_a_converted_value_is_readable_and_leaving_it_alone_changes_nothing() -> None:
    site = replace(BLANK, antenna_agl_m=10.0)
    assert shown(LENGTH_IN_FEET, site) == "32.81"
    assert edited(LENGTH_IN_FEET, site, "32.81") is site


def test_the_range_is_told_in_the_units_of_the_plan() -> None:
    with pytest.raises(InputError, match=r"is outside 0 to 984\.252 ft"):
        edited(LENGTH_IN_FEET, BLANK, "1000")


@pytest.mark.parametrize(
    ("path", "typed", "unit", "si"),
    [
        ("mast.diameter_m", "2", "in", 0.0508),  # 2 x 25.4 mm, exact
        ("mast.gust_m_s", "100", "mph", 44.704),  # exact
        ("mast.holds_n_m", "100", "lbf ft", 135.58179483),  # NIST SP 811
    ],
)
def test_other_quantities_have_their_own_units(
    path: str, typed: str, unit: str, si: float
) -> None:
    field = in_units(SITE_FIELDS[path], Units.IMPERIAL)
    assert field.unit == unit
    assert value_at(edited(field, BLANK, typed), path) == pytest.approx(si, rel=1e-9)


@pytest.mark.parametrize("path", SITE_FIELDS)
@pytest.mark.parametrize("units", Units)
def test_in_any_units_what_is_shown_is_entered_without_changing_the_site(
    path: str, units: Units
) -> None:
    site = three_sites().site(HILL)
    field = in_units(SITE_FIELDS[path], units)
    assert edited(field, site, shown(field, site)) == site
