"""Imported places become sites only after a look: names, twins, doubts."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import Plan, Position, Site, SiteFunction, SiteId
from guyline.services.coordinates import DoubtCode
from guyline.services.elevation import Terrain
from guyline.services.interchange import Place, proposals, with_new_sites
from guyline.services.plan_files import load_plan, plan_from_bytes, plan_to_bytes

DEMO = Path(__file__).parents[3] / "demo_projects" / "ullerby_sound"


def site(site_id, lat=-46.05, lon=-129.0):
    return Site(site_id=SiteId(site_id), position=Position(lat_deg=lat, lon_deg=lon))


def test_a_place_becomes_a_site_with_what_it_tells():
    place = Place(
        lat_deg=-46.1,
        lon_deg=-129.1,
        identifier="HUT",
        name="Hut on the hill",
        height_m=300.0,
        antenna_agl_m=6.0,
        uncertainty_m=5.0,
        function=SiteFunction.RELAY,
        notes="windy",
    )
    (proposal,) = proposals(Plan(), [place], source="places.gpx")
    assert proposal.site == Site(
        site_id=SiteId("HUT"),
        name="Hut on the hill",
        function=SiteFunction.RELAY,
        position=Position(lat_deg=-46.1, lon_deg=-129.1, source="places.gpx", uncertainty_m=5.0),
        antenna_agl_m=6.0,
        notes="windy",
    )
    assert proposal.doubts == ()
    assert proposal.twin_id is None


def test_a_height_is_kept_only_where_asked():
    place = Place(lat_deg=1.0, lon_deg=2.0, height_m=300.0)
    assert proposals(Plan(), [place])[0].site.ground_amsl_m is None
    kept = proposals(Plan(), [place], source="survey", keep_heights=True)[0].site
    assert (kept.ground_amsl_m, kept.ground_source) == (300.0, "survey")


def test_identifiers_stay_unique():
    places = [Place(lat_deg=i, lon_deg=i, identifier="HUT") for i in range(3)]
    found = proposals(Plan(sites=(site("HUT"),)), places)
    assert [p.site.site_id for p in found] == ["HUT-2", "HUT-3", "HUT-4"]


def test_twins_are_found_by_name_and_by_place():
    plan = Plan(sites=(site("HUT"), site("BARN", -46.2)))
    places = [
        Place(lat_deg=0.0, lon_deg=0.0, identifier="hut"),
        Place(lat_deg=-46.2001, lon_deg=-129.0, identifier="X"),  # 11 m from the barn
        Place(lat_deg=-46.2003, lon_deg=-129.0, identifier="Y"),  # 33 m from the barn, 22 m from X
        Place(lat_deg=-46.3, lon_deg=-129.0, identifier="Z"),
    ]
    assert [p.twin_id for p in proposals(plan, places)] == ["HUT", "BARN", "X", None]


def test_swapped_coordinates_of_a_whole_file_are_doubted():
    plan = load_plan(DEMO / "ullerby_sound.plan.json")
    terrain = Terrain.open(plan.terrain_sources, DEMO)
    place = Place(lat_deg=46.09, lon_deg=-128.98, identifier="NEW")
    (proposal,) = proposals(plan, [place], terrain)
    assert [doubt.code for doubt in proposal.doubts] == [DoubtCode.SIGN_LOST]
    assert proposal.doubts[0].instead == (-46.09, -128.98)


def test_accepted_sites_enter_the_plan_and_nothing_else_changes():
    plan = Plan(sites=(site("A"),))
    found = proposals(plan, [Place(lat_deg=1.0, lon_deg=1.0), Place(lat_deg=2.0, lon_deg=2.0)])
    grown = with_new_sites(plan, found[1:])
    assert [s.site_id for s in grown.sites] == ["A", "P2"]


texts = st.text(max_size=60)
places = st.builds(
    Place,
    lat_deg=st.floats(-90, 90),
    lon_deg=st.floats(-180, 180),
    identifier=texts,
    name=texts,
)


@given(st.lists(places, max_size=4))
def test_whatever_is_imported_can_be_saved_and_opened(found):
    plan = with_new_sites(Plan(sites=(site("A"),)), proposals(Plan(sites=(site("A"),)), found))
    assert len({s.site_id for s in plan.sites}) == len(found) + 1
    reopened = plan_from_bytes(plan_to_bytes(plan))
    assert [s.site_id for s in reopened.sites] == [s.site_id for s in plan.sites]
    for before, after in zip(plan.sites, reopened.sites, strict=True):
        assert after.position.lat_deg == pytest.approx(before.position.lat_deg, abs=1e-6)
