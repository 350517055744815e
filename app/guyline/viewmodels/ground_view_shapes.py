"""The areas and tracks of the plan, as its files hold them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import LayerKind, MapLayer, Plan
from guyline.services.map_layers import MapLayers, ReadLayer
from guyline.services.map_shapes import MapShape, read_map_shapes
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner


class ShapesModel(QObject):
    """Follows the plan's layers; `changed` carries what is to be drawn."""

    changed = Signal(object)
    refused = Signal(str)

    def __init__(self, document: PlanDocument, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._document = document
        self._files = MapLayers()
        self._asked: tuple[MapLayer, ...] = ()
        self.shown: tuple[MapShape, ...] = ()
        document.changed.connect(self._follow)

    def use(self, files: MapLayers) -> None:
        """Read from the folder of another plan from now on."""
        self._files, self._asked = files, ()
        self._follow(self._document.plan)

    def add(self, path: Path, kind: LayerKind) -> None:
        """Keep a file with the plan, once it has been seen to hold areas or tracks."""
        runner = JobRunner(lambda job: read_map_shapes(path), self)
        runner.succeeded.connect(lambda shapes: self._keep(path, kind))
        runner.refused.connect(lambda error: self.refused.emit(f"{error} {error.advice}".strip()))
        runner.start()

    def words_at(self, lat_deg: float, lon_deg: float) -> str:
        """What lies over a place, "" where nothing does."""
        over = (shape for shape in self.shown if shape.covers(lat_deg, lon_deg))
        return ", ".join(shape.label or "area without a name" for shape in over)

    def drop(self) -> None:
        """Take all layers out of the plan; undo brings them back."""
        plan = self._document.plan
        if plan.map_layers:
            self._document.edit(replace(plan, map_layers=()), "Take areas and tracks away")

    def _keep(self, path: Path, kind: LayerKind) -> None:
        plan = self._document.plan
        layer = MapLayer(path=self._files.named(path), kind=kind)
        others = tuple(known for known in plan.map_layers if known.path != layer.path)
        self._document.edit(replace(plan, map_layers=(*others, layer)), f"Add map of {kind}")

    def _follow(self, plan: Plan) -> None:
        layers = plan.map_layers
        if layers == self._asked:
            return
        self._asked = layers
        if not layers:
            self._show(())
            return
        files = self._files
        runner = JobRunner(lambda job: files.read(layers), self)
        runner.succeeded.connect(lambda known: self._take(layers, known))
        runner.start()

    def _take(self, layers: tuple[MapLayer, ...], known: tuple[ReadLayer, ...]) -> None:
        if layers != self._asked:
            return
        self._show(tuple(shape for one in known for shape in one.shapes))
        problems = [one.problem for one in known if one.problem]
        if problems:
            self.refused.emit(" ".join(problems))

    def _show(self, shapes: tuple[MapShape, ...]) -> None:
        self.shown = shapes
        self.changed.emit(shapes)
