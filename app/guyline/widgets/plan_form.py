"""Everything that can be entered of the plan itself."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QFileDialog, QScrollArea, QVBoxLayout, QWidget

from guyline.core.plan import MapLayer, Plan, TerrainSource
from guyline.errors import GuylineError
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.plan_fields import PLAN_GROUPS
from guyline.viewmodels.plan_session import PlanSession
from guyline.viewmodels.record_lists import (
    CLUTTER,
    LINKS,
    MAP_LAYERS,
    NEEDS,
    PLACES,
    PLAN_LISTS,
    READINGS,
    STOCK,
    TERRAIN,
    RecordList,
)
from guyline.viewmodels.record_table import RecordTableModel
from guyline.widgets.field_form import FieldForm
from guyline.widgets.panel import tight
from guyline.widgets.record_editor import RecordEditor
from guyline.widgets.site_form import go_to_entry

ELEVATION_FILES = "Elevation (*.tif *.tiff *.hgt *.hgt.gz *.asc);;All files (*)"


class PlanForm(QScrollArea):
    """Needs and links first: everything is judged by them."""

    refused = Signal(GuylineError)

    def __init__(
        self, document: PlanDocument, session: PlanSession, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._session = document, session
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("The plan itself")
        self.forms = [FieldForm(g, self._plan, self._plan, self._edit) for g in PLAN_GROUPS]
        self._lists = {k: self._list(k) for k in PLAN_LISTS}
        body = QWidget()
        body.setObjectName("sheet")
        layout = QVBoxLayout(body)
        tight(layout)
        incident, *others = self.forms
        for widget in (
            incident,
            self._editor(NEEDS),
            self._editor(LINKS),
            self._editor(PLACES),
            self._editor(READINGS),
            self._editor(STOCK),
            *others,
            self._editor(TERRAIN, self.add_terrain),
            self._editor(MAP_LAYERS, self.add_layers),
            self._editor(CLUTTER),
        ):
            layout.addWidget(widget)
        layout.addStretch(1)
        self.setWidget(body)
        document.changed.connect(lambda plan: self._follow())

    def _list(self, kind: RecordList) -> RecordTableModel:
        return RecordTableModel(
            kind, self._plan, self._edit, self, lambda: self._plan().incident.units
        )

    def refresh(self) -> None:
        """Show the plan as it is now."""
        for form in self.forms:
            form.refresh()
        for model in self._lists.values():
            model.refresh()

    def go_to(self, path: str, row: str = "", cell: str = "") -> bool:
        """Go to a field or list with the keyboard, and say whether it is here."""
        return go_to_entry(self, path, row, cell)

    def _follow(self) -> None:
        if self.isVisible() or self.parentWidget() is None:
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()  # while nobody saw it, it did not follow: a drag must stay quick

    def add_terrain(self) -> None:
        """Ask for elevation files and name them in the plan."""
        folder = "" if self._session.path is None else str(self._session.path.parent)
        names, _ = QFileDialog.getOpenFileNames(self, "Elevation files", folder, ELEVATION_FILES)
        if names:
            self.take_terrain([Path(name) for name in names])

    def take_terrain(self, paths: list[Path]) -> None:
        """Name elevation files in the plan, relative to it where they can be."""
        plan = self._plan()
        named = {source.path for source in plan.terrain_sources}
        fresh = dict.fromkeys(self._relative(path) for path in paths)
        added = tuple(TerrainSource(path=name) for name in fresh if name not in named)
        self._edit(
            replace(plan, terrain_sources=(*plan.terrain_sources, *added)), "Add elevation files"
        )

    def add_layers(self) -> None:
        """Ask for maps of areas and tracks and name them in the plan."""
        folder = "" if self._session.path is None else str(self._session.path.parent)
        names, _ = QFileDialog.getOpenFileNames(
            self, "Areas and tracks", folder, "GeoJSON (*.geojson *.json)"
        )
        if names:
            self.take_layers([Path(name) for name in names])

    def take_layers(self, paths: list[Path]) -> None:
        """Name maps in the plan; what they show is told in the list."""
        plan = self._plan()
        named = {layer.path for layer in plan.map_layers}
        fresh = dict.fromkeys(self._relative(path) for path in paths)
        added = tuple(MapLayer(path=name) for name in fresh if name not in named)
        self._edit(replace(plan, map_layers=(*plan.map_layers, *added)), "Add areas and tracks")

    def _relative(self, path: Path) -> str:
        if self._session.path is None:
            return str(path)
        folder = self._session.path.resolve().parent
        if path.resolve().is_relative_to(folder):
            return Path(os.path.relpath(path.resolve(), folder)).as_posix()
        return str(path)

    def _editor(self, kind: object, add: Callable[[], object] | None = None) -> RecordEditor:
        model = self._lists[kind]  # type: ignore[index]
        model.refused.connect(self.refused)
        return RecordEditor(model, self._plan, add)

    def _plan(self) -> Plan:
        return self._document.plan

    def _edit(self, after: object, text: str) -> None:
        assert isinstance(after, Plan)
        self._document.edit(after, text)
