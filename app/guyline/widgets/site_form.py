"""Everything that can be entered of the selected site."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import (
    QCheckBox,
    QGridLayout,
    QLabel,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from guyline.core.plan import Gate, Hazard, Plan, Site
from guyline.errors import GuylineError
from guyline.services.catalogues import usable_catalogues
from guyline.services.elevation import Terrain
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.entries import GATE_RECORDS, HAZARDS
from guyline.viewmodels.position_entry import Meaning, meanings
from guyline.viewmodels.record_lists import CHECKLIST, GATES, SITE_LISTS, RecordList
from guyline.viewmodels.record_table import RecordTableModel
from guyline.viewmodels.selection import Selection
from guyline.viewmodels.site_fields import SITE_GROUPS
from guyline.viewmodels.site_summaries import load_text
from guyline.widgets.field_form import FieldForm
from guyline.widgets.gate_form import GateForm
from guyline.widgets.panel import tight
from guyline.widgets.position_echo import PositionEcho
from guyline.widgets.record_editor import RecordEditor
from guyline.widgets.theme import GRID_PX

POSITION = "position"
EMPTY = "Select a site: everything that is known of it can be entered here."
SAFETY = (
    "Heights, mains, batteries and flood water can kill: local rules and licensed people decide."
)


class SiteForm(QScrollArea):
    """Groups of fields under headings; each entry is one undoable step."""

    refused = Signal(GuylineError)

    def __init__(
        self, document: PlanDocument, selection: Selection, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._document, self._selection = document, selection
        self.setWidgetResizable(True)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName("Details of the site")
        plan: Callable[[], Plan] = lambda: document.plan  # noqa: E731 - typed, and used thrice
        self._title = QLabel()
        self._title.setObjectName("title")
        self._title.setWordWrap(True)
        self._title.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX, 0)
        self.forms = [FieldForm(group, self._site, plan, self._edit) for group in SITE_GROUPS]
        self._lists = [self._list(k) for k in SITE_LISTS]
        self._hazards = _HazardBoxes(self._site, self._edit)
        self._load = QLabel()
        self._load.setObjectName("muted")
        self._load.setWordWrap(True)
        self._load.setContentsMargins(GRID_PX + 4, 0, GRID_PX + 4, GRID_PX)
        self._terrain: Terrain | None = None
        self.echo = self._echo_position()
        self._body = QWidget()
        self._body.setObjectName("sheet")
        layout = QVBoxLayout(self._body)
        tight(layout)
        layout.addWidget(self._title)
        for form in self.forms:
            layout.addWidget(form)
        for model in self._lists:
            model.refused.connect(self.refused)
            more = (
                [("Start from kit list", self.start_checklist)] if model.kind is CHECKLIST else []
            )
            editor = RecordEditor(model, plan, more=more)
            layout.addWidget(editor)
            if model.kind is GATES:
                layout.addWidget(self._gate_form_below(editor, plan))
            if model.kind is CHECKLIST:
                layout.addWidget(self._load)
        layout.addWidget(self._hazards)
        layout.addStretch(1)
        self.setWidget(self._body)
        document.changed.connect(lambda plan: self._follow())
        selection.site_changed.connect(lambda site_id: self._follow())
        self.refresh()

    def refresh(self) -> None:
        """Show the selected site as the plan has it now."""
        site = self._site()
        self._title.setText(EMPTY if site is None else f"{site.site_id}  {site.name}")
        for child in (*self.forms, *self._body.findChildren(RecordEditor), self._hazards):
            child.setVisible(site is not None)
        text = "" if site is None else load_text(self._document.plan, site)
        self._load.setText(text)
        self._load.setVisible(bool(text))
        for form in self.forms:
            form.refresh()
        for model in self._lists:
            model.refresh()
        self.gate.refresh()
        self.gate.setVisible(site is not None)
        self._hazards.refresh()

    def go_to(self, path: str, row: str = "", cell: str = "") -> bool:
        """Go to a field or list with the keyboard, and say whether it is here."""
        return go_to_entry(self, path, row, cell)

    def _follow(self) -> None:
        if self.isVisible() or self.parentWidget() is None:
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()  # while nobody saw it, it did not follow: a drag must stay quick

    def use_terrain(self, terrain: Terrain, assessor: object) -> None:
        """Doubt positions by this terrain."""
        self._terrain = terrain

    def _echo_position(self) -> PositionEcho:
        """Read a position back below its field while it is typed."""
        row = next(form for form in self.forms if form.has(POSITION)).row(POSITION)
        assert isinstance(row.editor, QLineEdit)
        echo = PositionEcho(row.editor, self._meanings, self._selection, self.refresh)
        row.below.addWidget(echo)
        row.may_take = lambda: echo.is_settled
        row.taken = echo.settle
        return echo

    def _meanings(self, text: str) -> tuple[Meaning, ...]:
        return meanings(text, self._document.plan, self._terrain, self._selection.site_id)

    def _gate_form_below(self, editor: RecordEditor, plan: Callable[[], Plan]) -> GateForm:
        """The gate of the chosen row in full; the list is the overview."""
        self.gate = GateForm(self._site, plan, self._edit)
        editor.table.selectionModel().currentRowChanged.connect(
            lambda current, previous: self.gate.show_gate(list(Gate)[max(0, current.row())])
        )
        return self.gate

    def _list(self, kind: RecordList) -> RecordTableModel:
        return RecordTableModel(
            kind, self._site, self._edit, self, lambda: self._document.plan.incident.units
        )

    def start_checklist(self) -> None:
        """Add what the kit table lists for such a site and the checklist lacks."""
        site = self._site()
        if site is None:
            return
        held = {item.name for item in site.checklist}
        kit = usable_catalogues().kit_for(site.function, site.power.source)
        missing = tuple(item for item in kit if item.name not in held)
        self._edit(replace(site, checklist=(*site.checklist, *missing)), "Start from kit list")

    def _site(self) -> Site | None:
        site_id, plan = self._selection.site_id, self._document.plan
        return plan.site(site_id) if site_id is not None and plan.has_site(site_id) else None

    def _edit(self, after: object, text: str) -> None:
        assert isinstance(after, Site)
        self._document.edit(self._document.plan.with_site(after), f"{text} of {after.site_id}")


def go_to_entry(area: QScrollArea, path: str, row: str = "", cell: str = "") -> bool:
    """Go to the form field or list of `path` within a scroll area, and say whether it has one.

    In a list the keyboard goes to the field `cell` of the row whose first cell is `row`.
    """
    for form in area.findChildren(FieldForm):
        if form.go_to(path):
            area.ensureWidgetVisible(form)
            area.ensureWidgetVisible(form.row(path).editor, 0, 6 * GRID_PX)
            return True
    for boxes in area.findChildren(_HazardBoxes):
        if path == HAZARDS:
            area.ensureWidgetVisible(boxes)
            boxes.go_to(row)
            return True
    for editor in area.findChildren(RecordEditor):
        if editor.path == path:
            area.verticalScrollBar().setValue(editor.pos().y())
            editor.go_to_row(row, cell)
            for gate in area.findChildren(GateForm) if path == GATE_RECORDS else ():
                area.verticalScrollBar().setValue(gate.pos().y() - GRID_PX)
                gate.go_to(cell)
            return True
    return False


class _HazardBoxes(QWidget):
    """What can hurt the crew at the site; each switches on its line of caution on paper."""

    def __init__(
        self, site: Callable[[], Site | None], edit: Callable[[object, str], None]
    ) -> None:
        super().__init__()
        self._site, self._edit = site, edit
        self._boxes = {hazard: QCheckBox(hazard.value) for hazard in Hazard}
        heading, caution = QLabel("Hazards"), QLabel(SAFETY)
        heading.setObjectName("heading")
        caution.setObjectName("muted")
        caution.setWordWrap(True)
        grid = QGridLayout()
        tight(grid, GRID_PX // 2)
        for i, (hazard, box) in enumerate(self._boxes.items()):
            box.setAccessibleName(f"Hazard: {hazard.value}")
            box.clicked.connect(lambda on, hazard=hazard: self._mark(hazard, on))
            grid.addWidget(box, i, 0)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(GRID_PX + 4, GRID_PX, GRID_PX + 4, GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addWidget(heading)
        layout.addWidget(caution)
        layout.addLayout(grid)

    def go_to(self, name: str) -> None:
        """Put the keyboard on the box of that hazard, else on the first."""
        boxes = {hazard.value: box for hazard, box in self._boxes.items()}
        boxes.get(name, next(iter(boxes.values()))).setFocus()

    def refresh(self) -> None:
        site = self._site()
        for hazard, box in self._boxes.items():
            box.setChecked(site is not None and hazard in site.hazards)

    def _mark(self, hazard: Hazard, is_there: bool) -> None:
        site = self._site()
        if site is not None:
            hazards = site.hazards | {hazard} if is_there else site.hazards - {hazard}
            self._edit(replace(site, hazards=hazards), "Change hazards")
