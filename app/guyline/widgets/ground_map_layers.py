"""What lies over the ground: a grid, coverage, skyline, areas and tracks."""

from __future__ import annotations

from collections.abc import Iterable
from enum import Enum

from PySide6.QtCore import Signal, SignalInstance
from PySide6.QtGui import QAction, QActionGroup
from PySide6.QtWidgets import QMenu, QToolButton

from guyline.core.plan import LayerKind
from guyline.viewmodels.ground_view_coverage import CoverageKind
from guyline.viewmodels.ground_view_grid import GridKind
from guyline.viewmodels.ground_view_layers import CoverageLayer

SHAPES = {
    LayerKind.FLOOD: "Flood areas …",
    LayerKind.FIRE: "Fire areas …",
    LayerKind.ACCESS: "Access tracks …",
    LayerKind.OTHER: "Other areas and tracks …",
}


class LayersButton(QToolButton):
    """A menu of what can lie over the ground."""

    grid_chosen = Signal(GridKind)
    coverage_chosen = Signal(CoverageKind)
    layer_chosen = Signal(CoverageLayer)
    coverage_wanted = Signal()
    """The coverage shown is to be written to a file."""
    skyline_toggled = Signal(bool)
    shapes_wanted = Signal(LayerKind)
    shapes_dropped = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setText("Layers")
        self.setAccessibleName("Layers over the ground")
        self.setToolTip("Grid, coverage, skyline")
        self.setPopupMode(QToolButton.ToolButtonPopupMode.InstantPopup)
        menu = QMenu(self)
        menu.setToolTipsVisible(True)
        self.grid_actions = self._choices(menu, GridKind, self.grid_chosen)
        menu.addSeparator()
        self.coverage_actions = self._choices(menu, CoverageKind, self.coverage_chosen)
        self._add_coverage(menu)
        menu.addSeparator()
        self.skyline_action = menu.addAction("Skyline and sun of the selected site")
        self.skyline_action.setCheckable(True)
        self.skyline_action.toggled.connect(self.skyline_toggled)
        menu.addSeparator()
        self._add_shapes(menu)
        self.setMenu(menu)

    def _add_coverage(self, menu: QMenu) -> None:
        """What of the coverage is shown, and the way out of the program for it."""
        shown = menu.addMenu("Coverage shows")
        self.layer_actions = self._choices(shown, CoverageLayer, self.layer_chosen)
        self.save_action = menu.addAction("Save the coverage …")
        self.save_action.setToolTip("A page, a picture, a raster or areas for a map program")
        self.save_action.triggered.connect(self.coverage_wanted)
        self.save_action.setEnabled(False)

    def _add_shapes(self, menu: QMenu) -> None:
        """Maps of others, kept with the plan."""
        added = menu.addMenu("Add from a GeoJSON file")
        self.shape_actions: dict[LayerKind, QAction] = {}
        for kind, words in SHAPES.items():
            action = self.shape_actions[kind] = added.addAction(words)
            action.triggered.connect(lambda _=False, kind=kind: self.shapes_wanted.emit(kind))
        self.drop_action = menu.addAction("Take areas and tracks away")
        self.drop_action.triggered.connect(self.shapes_dropped)
        self.drop_action.setEnabled(False)

    def _choices(self, menu: QMenu, kinds: Iterable[Enum], chosen: SignalInstance) -> QActionGroup:
        group = QActionGroup(self)
        for n, kind in enumerate(kinds):
            action = menu.addAction(kind.value[:1].upper() + kind.value[1:])
            action.setCheckable(True)
            action.setChecked(n == 0)
            action.setData(kind)
            group.addAction(action)
        group.triggered.connect(lambda action: chosen.emit(action.data()))
        return group
