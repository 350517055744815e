"""The maps of others that a plan keeps follow its edits."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pytestqt.qtbot import QtBot

from guyline.core.plan import LayerKind, MapLayer, Plan
from guyline.services.map_layers import MapLayers
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view_shapes import ShapesModel


def track(path: Path, name: str) -> Path:
    feature = {
        "type": "Feature",
        "properties": {"name": name},
        "geometry": {"type": "LineString", "coordinates": [[5.0, 50.0], [5.1, 50.1]]},
    }
    path.write_text(json.dumps({"type": "FeatureCollection", "features": [feature]}))
    return path


@pytest.fixture
def document() -> PlanDocument:
    return PlanDocument(Plan())


def test_a_file_below_the_plan_is_named_from_there_and_any_other_by_its_whole_path(
    document: PlanDocument, qtbot: QtBot, tmp_path: Path
) -> None:
    home, away = tmp_path / "home", tmp_path / "away"
    home.mkdir()
    away.mkdir()
    model = ShapesModel(document)
    model.use(MapLayers(home, is_home=True))
    for path in (track(home / "near.geojson", "near"), track(away / "far.geojson", "far")):
        with qtbot.waitSignal(model.changed):
            model.add(path, LayerKind.ACCESS)
    assert [layer.path for layer in document.plan.map_layers] == [
        "near.geojson",
        (away / "far.geojson").as_posix(),
    ]
    assert [shape.name for shape in model.shown] == ["near", "far"]
    document.undo_stack.undo()
    qtbot.waitUntil(lambda: [shape.name for shape in model.shown] == ["near"])
    model.drop()
    assert model.shown == ()


def test_a_plan_without_a_file_names_layers_by_their_whole_path(
    document: PlanDocument, qtbot: QtBot, tmp_path: Path
) -> None:
    model = ShapesModel(document)
    model.use(MapLayers(tmp_path))
    with qtbot.waitSignal(model.changed):
        model.add(track(tmp_path / "near.geojson", "near"), LayerKind.ACCESS)
    assert Path(document.plan.map_layers[0].path).is_absolute()


def test_a_file_that_is_added_again_as_another_kind_is_kept_once(
    document: PlanDocument, qtbot: QtBot, tmp_path: Path
) -> None:
    model = ShapesModel(document)
    path = track(tmp_path / "near.geojson", "near")
    for kind in (LayerKind.OTHER, LayerKind.ACCESS):
        with qtbot.waitSignal(model.changed):
            model.add(path, kind)
    assert [layer.kind for layer in document.plan.map_layers] == [LayerKind.ACCESS]


def test_a_layer_whose_file_is_gone_is_told_and_the_others_are_drawn(
    document: PlanDocument, qtbot: QtBot, tmp_path: Path
) -> None:
    track(tmp_path / "near.geojson", "near")
    layers = (MapLayer(path="gone.geojson"), MapLayer(path="near.geojson"))
    model = ShapesModel(document)
    model.use(MapLayers(tmp_path, is_home=True))
    with qtbot.waitSignal(model.refused) as told:
        document.edit(Plan(map_layers=layers), "Name layers")
    assert "gone.geojson" in told.args[0]
    assert [shape.name for shape in model.shown] == ["near"]
