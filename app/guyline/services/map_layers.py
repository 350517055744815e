"""The areas and tracks that a plan keeps: read once, drawn on maps, and held against its sites."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from threading import Lock

from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from guyline.core.plan import LayerKind, MapLayer, Position
from guyline.core.readiness.hazard_checks import AreaLook
from guyline.core.units import Numbers
from guyline.errors import InputError
from guyline.services.geodesy import LocalFrame
from guyline.services.map_shapes import MapShape, read_map_shapes

WAY_ENDS_M = 300.0  # our choice: a track that ends nearer than that leads to the site


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ReadLayer:
    """A layer with its shapes, or with what is wrong with its file."""

    layer: MapLayer
    shapes: tuple[MapShape, ...] = ()
    problem: str = ""

    @property
    def name(self) -> str:
        return self.layer.description or Path(self.layer.path).name


class MapLayers:
    """Reads the files of layers, each once; relative paths start at `folder`.

    `is_home` says that the plan's file lies there; until it has one, layers are named by their
    whole path, for nobody knows yet from where they will be looked for.
    """

    def __init__(self, folder: Path | None = None, *, is_home: bool = False) -> None:
        self._folder, self._is_home = folder or Path(), is_home
        self._read: dict[MapLayer, ReadLayer] = {}
        self._lock = Lock()

    def read(self, layers: Sequence[MapLayer]) -> tuple[ReadLayer, ...]:
        """The layers in their order; what cannot be read says so and has no shapes."""
        with self._lock:
            for layer in layers:
                if layer not in self._read:
                    self._read[layer] = self._opened(layer)
            return tuple(self._read[layer] for layer in layers)

    def named(self, path: Path) -> str:
        """How the plan names a file: relative to its folder where it lies below that."""
        whole = path.resolve()
        home = self._folder.resolve()
        is_below = self._is_home and whole.is_relative_to(home)
        return (whole.relative_to(home) if is_below else whole).as_posix()

    def shapes(self, layers: Sequence[MapLayer]) -> tuple[MapShape, ...]:
        """Everything there is to draw, each shape with the kind of its layer."""
        return tuple(shape for known in self.read(layers) for shape in known.shapes)

    def looks(self, layers: Sequence[MapLayer], position: Position | None) -> tuple[AreaLook, ...]:
        """What every layer of hazards says of a place; () for a site without one."""
        if position is None or not any(layer.kind.is_hazard for layer in layers):
            return ()
        known = self.read(layers)
        frame = LocalFrame(position.lat_deg, position.lon_deg)
        ways = _ways_to_origin(known, frame)
        return tuple(
            _look(one, frame, position.uncertainty_m or 0.0, ways)
            for one in known
            if one.layer.kind.is_hazard
        )

    def _opened(self, layer: MapLayer) -> ReadLayer:
        try:
            found = read_map_shapes(self._folder / layer.path)
        except InputError as error:
            return ReadLayer(layer=layer, problem=f"{error} {error.advice}".strip())
        return ReadLayer(
            layer=layer, shapes=tuple(replace(shape, kind=layer.kind) for shape in found)
        )


def _look(
    known: ReadLayer, frame: LocalFrame, uncertainty_m: float, ways: Sequence[BaseGeometry]
) -> AreaLook:
    if known.problem:
        return AreaLook(kind=known.layer.kind, source=known.name, covers_site=None)
    areas = [(shape.name, _area(shape, frame)) for shape in known.shapes if shape.is_area]
    covering = [name for name, area in areas if area.distance(Point(0.0, 0.0)) <= uncertainty_m]
    crossing = [name for name, area in areas if ways and all(area.intersects(w) for w in ways)]
    return AreaLook(
        kind=known.layer.kind,
        source=known.name,
        covers_site=bool(covering),
        crosses_way=bool(crossing) if ways else None,
        area=next((name for name in (*covering, *crossing) if name), ""),
    )


def _area(shape: MapShape, frame: LocalFrame) -> BaseGeometry:
    """An area in metres; a ring inside another one is a hole, an island in it is none."""
    whole: BaseGeometry = Polygon()
    for lat, lon in shape.parts:
        whole = whole.symmetric_difference(Polygon(_metres(lat, lon, frame)).buffer(0.0))
    return whole


def _ways_to_origin(layers: Sequence[ReadLayer], frame: LocalFrame) -> list[BaseGeometry]:
    """Access tracks that lead to the frame's origin."""
    lines = [
        LineString(_metres(lat, lon, frame))
        for known in layers
        if known.layer.kind is LayerKind.ACCESS
        for shape in known.shapes
        if not shape.is_area
        for lat, lon in shape.parts
        if len(lat) > 1
    ]
    return [line for line in lines if line.distance(Point(0.0, 0.0)) <= WAY_ENDS_M]


def _metres(lat_deg: Numbers, lon_deg: Numbers, frame: LocalFrame) -> list[tuple[float, float]]:
    x, y = frame.to_xy(lat_deg, lon_deg)
    return list(zip(x.tolist(), y.tolist(), strict=True))
