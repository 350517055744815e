"""Places in and out, and a copy of the plan to give away."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QFileDialog, QWidget

from guyline.core.plan import Plan
from guyline.errors import GuylineError
from guyline.services.elevation import Terrain
from guyline.services.interchange import (
    FORMATS,
    Proposal,
    lines_of_plan,
    places_of_plan,
    proposals,
    read_places,
    with_new_sites,
    write_places,
)
from guyline.services.plan_files import SUFFIX, save_plan
from guyline.services.share_copy import share_copy
from guyline.services.wording import counted
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.job_runner import JobRunner
from guyline.widgets.import_dialog import ImportDialog
from guyline.widgets.notices import NoticeBar


@dataclass(frozen=True, slots=True)
class _Found:
    """What a file gave, held against the plan."""

    name: str
    proposals: tuple[Proposal, ...]
    problems: tuple[str, ...]


class Exchange(QObject):
    """What the menu offers for other programs and other people; `window` owns the dialogs."""

    def __init__(self, desk: Desk, notices: NoticeBar, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._notices, self._window = desk, notices, window

    def import_places(self) -> None:
        """Ask for a file of places, show what it holds, and add what is ticked."""
        kinds = " ".join(f"*{suffix}" for suffix in FORMATS)
        name, _ = QFileDialog.getOpenFileName(
            self._window, "Import places", self._folder(), f"Places ({kinds});;All files (*)"
        )
        if name:
            self.read(Path(name))

    def read(self, path: Path) -> None:
        """Read a file of places off the GUI thread, then show it."""
        plan, terrain = self._desk.document.plan, self._desk.terrain
        runner = JobRunner(lambda job: _found(path, plan, terrain), self)
        runner.succeeded.connect(self._show)
        runner.refused.connect(self._notices.tell_error)
        runner.start()

    def export_places(self) -> None:
        """Write the sites that have a position, and their links where the format has room."""
        kinds = ";;".join(
            f"{kind.words} (*{suffix})" for suffix, kind in FORMATS.items() if kind.written
        )
        start = str(Path(self._folder()) / f"{self._desk.session.name}.gpx")
        name, _ = QFileDialog.getSaveFileName(self._window, "Export places", start, kinds)
        if name:
            self.write(Path(name))

    def write(self, path: Path) -> None:
        plan = self._desk.document.plan
        places = places_of_plan(plan)
        try:
            write_places(path, places, lines_of_plan(plan))
        except GuylineError as error:
            self._notices.tell_error(error)
        else:
            self._notices.tell(
                f"{counted(len(places), 'site')} written to {path.name}.",
                "Notes and telephone numbers were left out.",
            )

    def save_share_copy(self) -> None:
        """Save a copy without telephone numbers, keys and codes."""
        start = str(Path(self._folder()) / f"{self._desk.session.name} to share{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save a copy to give away", start, f"Plans (*{SUFFIX})"
        )
        if name:
            self.share(Path(name if name.endswith(SUFFIX) else name + SUFFIX))

    def share(self, path: Path) -> None:
        try:
            save_plan(share_copy(self._desk.document.plan), path)
        except GuylineError as error:
            self._notices.tell_error(error)
        else:
            self._notices.tell(
                f"A copy to give away was saved as {path.name}.",
                "Telephone numbers, key holders and codes are masked. Read it before you send it.",
            )

    def _show(self, found: _Found) -> None:
        dialog = ImportDialog(found.proposals, found.problems, self._window)
        dialog.accepted.connect(lambda: self._take(found.name, dialog.accepted_places))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()

    def _take(self, name: str, accepted: tuple[Proposal, ...]) -> None:
        document = self._desk.document
        document.edit(with_new_sites(document.plan, accepted), f"Import {name}")
        self._notices.tell(
            f"{counted(len(accepted), 'site')} added from {name}.",
            action=("Undo", document.undo_stack.undo),
        )

    def _folder(self) -> str:
        path = self._desk.session.path
        return "" if path is None else str(path.parent)


def _found(path: Path, plan: Plan, terrain: Terrain) -> _Found:
    read = read_places(path)
    found = proposals(plan, read.places, terrain, source=path.name)
    return _Found(path.name, found, read.problems)
