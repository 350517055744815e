"""The maps beside the demo plan are what their script makes, and concern the site they should."""

from __future__ import annotations

import json
import runpy
from pathlib import Path

import pytest

from guyline.core.plan import LayerKind, MapLayer, SiteId
from guyline.services.map_layers import MapLayers
from guyline.services.plan_files import load_plan

DEMO = Path(__file__).parents[1] / "demo_projects" / "ullerby_sound"
LAYERS = (
    MapLayer(path="flood.geojson", kind=LayerKind.FLOOD),
    MapLayer(path="tracks.geojson", kind=LayerKind.ACCESS),
)


@pytest.mark.parametrize("name", ["flood", "tracks"])
def test_a_map_is_what_its_script_makes(name: str) -> None:
    made = runpy.run_path(str(DEMO / "make_maps.py"))[name]()
    kept = json.loads((DEMO / f"{name}.geojson").read_text(encoding="utf-8"))
    assert json.loads(json.dumps(made)) == kept


def test_no_site_lies_in_the_flood_and_one_can_only_be_reached_through_it() -> None:
    layers, plan = MapLayers(DEMO), load_plan(DEMO / "ullerby_sound.plan.json")
    looks = {s.site_id: layers.looks(LAYERS, s.position)[0] for s in plan.sites}
    assert [site_id for site_id, look in looks.items() if look.covers_site] == []
    assert [site_id for site_id, look in looks.items() if look.crosses_way] == [SiteId("LANDING")]
