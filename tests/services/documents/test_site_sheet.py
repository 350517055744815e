from __future__ import annotations

from dataclasses import fields, replace

import pytest

from guyline.core.plan import Contact, Panel, Plan, Position, Site
from guyline.core.readiness.finding import Verdict
from guyline.services.documents.content import Field, SiteSheet
from guyline.services.documents.site_sheet import site_sheet
from sheet_stories import BARE, assessed, crowded_plan, full_plan, printing, sparse_plan
from stories import HALL, HILL, SHED, complete_site, solar


def sheet_of(plan: Plan, site_id: str) -> SiteSheet:
    return site_sheet(plan, assessed(plan), site_id, printing(plan))  # type: ignore[arg-type]


def value(lines: tuple[Field, ...], label: str) -> str | None:
    return next(line.value for line in lines if line.label == label)


@pytest.fixture(scope="module")
def hill() -> SiteSheet:
    return sheet_of(full_plan(), HILL)


def test_the_sheet_carries_the_verdict_of_the_assessment() -> None:
    plan = full_plan()
    assessment = assessed(plan)
    for judged in assessment.sites:
        sheet = site_sheet(plan, assessment, judged.site_id, printing(plan))
        assert sheet.verdict is judged.verdict
        not_go = [f for f in judged.findings if f.verdict is not Verdict.GO]
        assert len(sheet.reasons) == len(not_go)


def test_the_position_stands_in_minutes_utm_and_mgrs(hill: SiteSheet) -> None:
    # -45.00, -29.98: 58.8 minutes by hand; UTM and MGRS by pyproj and mgrs, as tested there
    assert value(hill.where, "Position") == "45°00.000′S 29°58.800′W"
    assert (value(hill.where, "UTM zone") or "").startswith("26 South 26")
    assert (value(hill.where, "MGRS") or "").startswith("26G KR ")
    assert hill.geo_uri == "geo:-45.00000,-29.98000;u=5"


def test_an_aimed_antenna_has_a_true_and_a_magnetic_bearing(hill: SiteSheet) -> None:
    # declination by pygeomag (WMM-2025) is 15.6° west there: magnetic = 270 + 15.6;
    # 9 dBi are 58.3° wide (F.1336), so 12 (x / 58.3)² = 1 dB at 16.8°
    assert value(hill.antenna, "Azimuth") == "270° T / 286° M, ± 16°"
    assert value(hill.antenna, "Tilt") == "3° down"


def test_links_are_listed_with_what_this_site_should_hear(hill: SiteSheet) -> None:
    plan = full_plan()
    links = assessed(plan).site(HILL).links
    by_far = {line.far_id: line for line in hill.links}
    assert set(by_far) == {HALL, SHED}
    for link in links:
        budget = link.budget
        assert budget is not None
        incoming = budget.backward if link.link.from_id == HILL else budget.forward
        line = by_far[link.link.other(HILL)]
        assert line.expected == (
            f"{incoming.received_dbm:.0f} dBm, SNR {incoming.snr_db:+.0f} dB".replace("-", "−")
        )
        # law: the least acceptable level is the sensitivity plus the margin the plan asks for
        least = incoming.sensitivity_dbm + plan.radio_profile.required_margin_db
        assert (line.least or "").startswith(f"−{-least:.0f} dBm")


def test_the_antenna_is_connected_before_anything_is_powered() -> None:
    plan = crowded_plan()
    for site in (*plan.sites, *sparse_plan().sites):
        owner = plan if plan.has_site(site.site_id) else sparse_plan()
        steps = sheet_of(owner, site.site_id).steps
        connected = next(n for n, s in enumerate(steps) if "Antenna connected" in s)
        powered = [
            n
            for n, s in enumerate(steps)
            if "fuse in" in s or "Plug in" in s or "Connect the power" in s or "Uncover" in s
        ]
        assert powered
        assert all(n > connected for n in powered)


def test_the_battery_is_on_the_controller_before_the_panel(hill: SiteSheet) -> None:
    battery = next(n for n, s in enumerate(hill.steps) if "fuse OUT" in s)
    panel = next(n for n, s in enumerate(hill.steps) if "then the panel" in s)
    assert battery < panel


@pytest.mark.parametrize(("lat_deg", "point"), [(-45.0, "north, 000° T"), (45.0, "south, 180° T")])
def test_a_panel_without_azimuth_faces_the_equator(lat_deg: float, point: str) -> None:
    power = replace(solar(), panel=Panel(stc_w=60.0))
    site = complete_site(HILL, lat_deg, -29.98, power=power)
    faces = value(sheet_of(Plan(sites=(site,)), HILL).power, "Panel faces")
    assert faces is not None
    assert faces.startswith(point)
    assert faces.endswith("(advised)")


def test_nothing_is_invented_for_a_site_of_which_nothing_is_known() -> None:
    bare = sheet_of(sparse_plan(), BARE)
    assert bare.verdict is Verdict.NOT_ASSESSED
    assert bare.geo_uri is None
    for block, label in (
        (bare.where, "Position"),
        (bare.where, "Ground"),
        (bare.who, "Permission"),
        (bare.who, "Key holder"),
        (bare.who, "Contact"),
        (bare.who, "Net control"),
        (bare.radio, "Radio identifier"),
        (bare.radio, "Transmit power"),
        (bare.antenna, "Centre height"),
        (bare.antenna, "Feeder"),
        (bare.power, "Source"),
        (bare.power, "Load"),
        (bare.who, "Emergency"),
        (bare.power, "Battery"),
        (bare.power, "Outlook"),
    ):
        assert value(block, label) is None, label
    link = bare.links[0]
    assert (link.bearing, link.distance, link.expected, link.least) == (None,) * 4
    assert link.why_unknown.startswith("unknown: ")
    assert bare.take == ()


def test_at_most_eight_cautions_stand_in_front_and_the_rest_are_kept() -> None:
    sheet = sheet_of(crowded_plan(), HILL)
    assert len(sheet.cautions) == 8
    assert sheet.beyond
    leads = [line.lead for line in (*sheet.cautions, *sheet.beyond)]
    assert len(set(leads)) == len(leads)


def test_the_digest_changes_with_what_is_printed_and_with_nothing_else() -> None:
    plan = full_plan()
    first = sheet_of(plan, HILL).imprint.digest
    assessment = assessed(plan)
    later = replace(printing(plan), at=printing(plan).at.replace(hour=18))
    assert site_sheet(plan, assessment, HILL, later).imprint.digest == first

    changed = plan.with_site(replace(plan.site(HALL), name="Old hall"))
    assert sheet_of(changed, HILL).imprint.digest != first  # the hall is named on it
    assert sheet_of(changed, SHED).imprint.digest == sheet_of(plan, SHED).imprint.digest


def test_a_sheet_is_stale_when_a_telephone_number_changes() -> None:
    plan = full_plan()
    contact = Contact(name="The farmer", role="Owner", phone="000-0999")
    changed = plan.with_site(replace(plan.site(HILL), contacts=(contact,)))
    assert sheet_of(changed, HILL).imprint.digest != sheet_of(plan, HILL).imprint.digest


def test_vital_kit_comes_first_and_keeps_its_state(hill: SiteSheet) -> None:
    assert [line.name for line in hill.take] == ["Radio", "Mast", "Spare fuse"]
    assert [str(line.state) for line in hill.take] == ["packed", "fitted", "needed"]


def test_every_block_of_a_full_sheet_has_content(hill: SiteSheet) -> None:
    optional = {"beyond", "extract", "credits"}  # without elevation files
    empty = [f.name for f in fields(hill) if f.name not in optional and not getattr(hill, f.name)]
    assert empty == []


def test_a_position_beyond_the_utm_grid_says_so() -> None:
    site = Site(site_id=HILL, position=Position(lat_deg=86.0, lon_deg=10.0))
    assert value(sheet_of(Plan(sites=(site,)), HILL).where, "UTM zone") == "outside the UTM grid"
