"""Maps of hazards and tracks that the plan keeps: read once, held against every site."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest

from guyline.core.plan import Fact, Gate, GateRecord, Hazard, LayerKind, MapLayer, Plan, Position
from guyline.core.readiness.finding import Finding, FindingCode, RemedyAction, Verdict
from guyline.services.assessment import Assessor
from guyline.services.geodesy import LocalFrame
from guyline.services.map_layers import MapLayers
from guyline.services.opening import open_plan
from guyline.services.plan_exchange import seen_from, write_share_copy
from guyline.services.plan_files import load_plan, save_plan
from guyline.services.wording import remedy_sentence, sentence
from stories import HALL, DrawnTerrain, three_sites

FLOOD = MapLayer(path="flood.geojson", kind=LayerKind.FLOOD, description="River on 3 May")
TRACKS = MapLayer(path="tracks.geojson", kind=LayerKind.ACCESS)


def home(plan: Plan) -> tuple[float, float]:
    position = plan.site(HALL).position
    assert position is not None
    return position.lat_deg, position.lon_deg


def at(plan: Plan, *points_m: tuple[float, float]) -> list[list[float]]:
    """Places in metres east and north of the hall as GeoJSON has them."""
    frame = LocalFrame(*home(plan))
    places = [frame.to_lat_lon(x, y) for x, y in points_m]
    return [[float(lon), float(lat)] for lat, lon in places]


def square(plan: Plan, x_m: float, y_m: float, half_m: float) -> list[list[float]]:
    corners = ((-1, -1), (1, -1), (1, 1), (-1, 1), (-1, -1))
    return at(plan, *((x_m + a * half_m, y_m + b * half_m) for a, b in corners))


def write(path: Path, kind: str, *shapes: object, name: str = "") -> None:
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": kind, "coordinates": coordinates},
        }
        for coordinates in shapes
    ]
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))


def story(uncertainty_m: float | None = 5.0) -> Plan:
    plan = three_sites()
    hall = plan.site(HALL)
    assert hall.position is not None
    position = replace(hall.position, uncertainty_m=uncertainty_m)
    plan = plan.with_site(replace(hall, position=position, hazards=frozenset()))
    return replace(plan, map_layers=(FLOOD, TRACKS))


def hazard(plan: Plan, folder: Path) -> Finding:
    assessor = Assessor(DrawnTerrain(), layers=MapLayers(folder))  # type: ignore[arg-type]
    (found,) = (
        f for f in assessor.assess(plan).site(HALL).findings if f.code is FindingCode.HAZARD_AREA
    )
    return found


def test_a_site_in_a_flood_is_not_go_and_the_sentence_names_the_flood(tmp_path: Path) -> None:
    plan = story()
    write(tmp_path / FLOOD.path, "Polygon", [square(plan, 0.0, 0.0, 400.0)], name="Lower mere")
    found = hazard(plan, tmp_path)
    assert found.verdict is Verdict.CONDITIONS
    assert sentence(found) == "The site lies in the flood area Lower mere (River on 3 May)."
    assert remedy_sentence(found) == "Enter the hazard: flood water."
    noted = plan.with_site(replace(plan.site(HALL), hazards=frozenset({Hazard.FLOOD_WATER})))
    then = hazard(noted, tmp_path)
    assert then.verdict is Verdict.CONDITIONS
    assert then.remedy is not None
    assert then.remedy.action is RemedyAction.MOVE


def test_nobody_who_owns_the_way_there_makes_it_not_assessed(tmp_path: Path) -> None:
    plan = story()
    write(tmp_path / FLOOD.path, "Polygon", [square(plan, 0.0, 0.0, 400.0)])
    assessor = Assessor(DrawnTerrain(), layers=MapLayers(tmp_path))  # type: ignore[arg-type]
    codes = {
        f.fact("gate")
        for f in assessor.assess(plan).site(HALL).findings
        if f.code is FindingCode.CONDITION_OWNER
    }
    assert str(Gate.SAFETY) in codes or any(
        r == GateRecord(gate=Gate.SAFETY, answer=Fact.UNKNOWN)
        for r in plan.site(HALL).gate_records
    )


@pytest.mark.parametrize(
    ("away_m", "uncertainty_m", "verdict"),
    [
        (20.0, 5.0, Verdict.GO),
        (20.0, 25.0, Verdict.CONDITIONS),
        (20.0, None, Verdict.GO),
        (4_000.0, 25.0, Verdict.GO),
    ],
)
def test_an_area_nearer_than_the_position_is_uncertain_counts_as_covering(
    tmp_path: Path, away_m: float, uncertainty_m: float | None, verdict: Verdict
) -> None:
    plan = story(uncertainty_m)
    write(tmp_path / FLOOD.path, "Polygon", [square(plan, 400.0 + away_m, 0.0, 400.0)])
    assert hazard(plan, tmp_path).verdict is verdict


def test_an_island_in_the_flood_is_dry(tmp_path: Path) -> None:
    plan = story()
    rings = [square(plan, 0.0, 0.0, 900.0), square(plan, 0.0, 0.0, 200.0)]
    write(tmp_path / FLOOD.path, "Polygon", rings)
    assert hazard(plan, tmp_path).verdict is Verdict.GO


def test_a_site_whose_every_track_leads_through_the_flood_is_told(tmp_path: Path) -> None:
    plan = story()
    write(tmp_path / FLOOD.path, "Polygon", [square(plan, 1_500.0, 0.0, 300.0)])
    through = at(plan, (3_000.0, 0.0), (100.0, 0.0))
    write(tmp_path / TRACKS.path, "LineString", through)
    found = hazard(plan, tmp_path)
    assert found.verdict is Verdict.CONDITIONS
    assert sentence(found).startswith("Every known track to the site leads through a flood area")
    round_it = at(plan, (3_000.0, 2_000.0), (0.0, 100.0))
    write(tmp_path / TRACKS.path, "LineString", through, round_it)
    assert hazard(plan, tmp_path).verdict is Verdict.GO
    elsewhere = at(plan, (3_000.0, 0.0), (1_000.0, 0.0))  # ends a kilometre from the site
    write(tmp_path / TRACKS.path, "LineString", elsewhere)
    assert hazard(plan, tmp_path).verdict is Verdict.GO


@pytest.mark.parametrize("content", ["{", '{"type": "FeatureCollection", "features": []}', None])
def test_a_map_that_cannot_be_read_leaves_every_site_unknown(
    tmp_path: Path, content: str | None
) -> None:
    if content is not None:
        (tmp_path / FLOOD.path).write_text(content)
    found = hazard(story(), tmp_path)
    assert found.verdict is Verdict.NOT_ASSESSED
    assert "unknown" in sentence(found)


def test_plans_without_maps_of_hazards_have_nothing_to_say_of_them(tmp_path: Path) -> None:
    plan = replace(story(), map_layers=(TRACKS,))
    assessment = Assessor(DrawnTerrain()).assess(plan)  # type: ignore[arg-type]
    codes = {f.code for site in assessment.sites for f in site.findings}
    assert FindingCode.HAZARD_AREA not in codes


def test_a_site_without_a_position_is_not_held_against_areas(tmp_path: Path) -> None:
    layers = MapLayers(tmp_path)
    assert layers.looks((FLOOD,), None) == ()
    assert layers.looks((TRACKS,), Position(lat_deg=0.0, lon_deg=0.0)) == ()


def test_layers_are_kept_with_the_plan_and_read_from_its_folder(tmp_path: Path) -> None:
    plan = story()
    write(tmp_path / FLOOD.path, "Polygon", [square(plan, 0.0, 0.0, 400.0)], name="Lower mere")
    write(tmp_path / TRACKS.path, "LineString", at(plan, (0.0, 0.0), (900.0, 0.0)))
    path = tmp_path / "deed.plan.json"
    save_plan(plan, path)
    opened = open_plan(path)
    assert opened.plan.map_layers == (FLOOD, TRACKS)
    shapes = opened.assessor.layers.shapes(opened.plan.map_layers)
    assert [(s.kind, s.is_area, s.name) for s in shapes] == [
        (LayerKind.FLOOD, True, "Lower mere"),
        (LayerKind.ACCESS, False, ""),
    ]
    assert opened.assessor.layers.shapes((FLOOD,))[0] is shapes[0]  # read once


def test_a_plan_saved_elsewhere_still_finds_its_layers_and_a_shared_one_names_no_folder(
    tmp_path: Path,
) -> None:
    plan = story()
    moved = seen_from(plan, tmp_path / "a" / "x.plan.json", tmp_path / "b" / "x.plan.json")
    assert Path(moved.map_layers[0].path) == tmp_path / "a" / FLOOD.path
    shared = tmp_path / "shared.plan.json"
    write_share_copy(moved, shared)
    assert [layer.path for layer in load_plan(shared).map_layers] == [FLOOD.path, TRACKS.path]
