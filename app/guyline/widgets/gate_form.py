"""One gate of a site in full: what is asked, the answer with its evidence, who sees to it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from PySide6.QtWidgets import QLabel, QPushButton, QVBoxLayout, QWidget

from guyline.core.plan import ASKED, Fact, Gate, GateRecord, Plan, Site
from guyline.viewmodels.record_lists import GATES
from guyline.viewmodels.site_fields import FieldGroup
from guyline.widgets.field_form import FieldForm
from guyline.widgets.panel import tight
from guyline.widgets.theme import GRID_PX

_FIELDS = FieldGroup(title="", fields=tuple(f for f in GATES.fields if not f.is_fixed))


class GateForm(QWidget):
    """The gate that `show_gate` chose; every entry is one undoable step of the site."""

    def __init__(
        self,
        site: Callable[[], Site | None],
        plan: Callable[[], Plan],
        edit: Callable[[object, str], None],
        today: Callable[[], date] = date.today,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._site, self._plan, self._edit, self._today = site, plan, edit, today
        self._gate = ASKED[0]
        self._title, self._questions = QLabel(), QLabel()
        self._title.setObjectName("heading")
        self._questions.setObjectName("muted")
        for label in (self._title, self._questions):
            label.setWordWrap(True)
            label.setContentsMargins(GRID_PX + 4, 0, GRID_PX + 4, 0)
        self.form = FieldForm(_FIELDS, self._record, plan, self._take)
        self.sign = QPushButton()
        self.sign.setToolTip("A yes counts only with a name and a date")
        self.sign.clicked.connect(self._sign)
        row = QVBoxLayout()
        row.setContentsMargins(GRID_PX + 4, 0, GRID_PX + 4, GRID_PX)
        row.addWidget(self.sign)
        layout = QVBoxLayout(self)
        tight(layout)
        for widget in (self._title, self._questions, self.form):
            layout.addWidget(widget)
        layout.addLayout(row)
        self.refresh()

    def show_gate(self, gate: Gate) -> None:
        self._gate = gate
        self.refresh()

    def refresh(self) -> None:
        """Show the gate as the plan has it now."""
        record = self._record()
        self._title.setText(f"{self._gate[:1].upper()}{self._gate[1:]}")
        self._questions.setText(GATES.row_tip(GateRecord(gate=self._gate)))
        self.form.setVisible(record is not None)
        self.form.refresh()
        planner = self._plan().incident.planner
        self.sign.setText(f"Sign as {planner}, today")
        self.sign.setVisible(
            record is not None
            and bool(planner)
            and record.answer is not Fact.UNKNOWN
            and not (record.answered_by and record.answered_on)
        )

    def go_to(self, path: str) -> None:
        """Put the keyboard into one of the fields."""
        self.form.go_to(path)

    def _record(self) -> GateRecord | None:
        site = self._site()
        return None if site is None else site.record(self._gate)

    def _sign(self) -> None:
        record = self._record()
        if record is not None:
            by = self._plan().incident.planner
            signed = replace(record, answered_by=by, answered_on=self._today())
            self._take(signed, "Sign")

    def _take(self, after: object, text: str) -> None:
        site = self._site()
        if site is None:
            return
        assert isinstance(after, GateRecord)
        records = tuple(
            after if gate is after.gate else site.record(gate)
            for gate in Gate
            if GATES.is_kept(after if gate is after.gate else site.record(gate))
        )
        self._edit(replace(site, gate_records=records), f"{text} for {after.gate}")
