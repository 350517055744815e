"""Places in and out, and a copy of the plan to give away."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TypeVar

from PySide6.QtCore import QObject
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QFileDialog, QWidget

from guyline.services.comms_forms import write_comms_forms
from guyline.services.interchange import FORMATS
from guyline.services.place_import import SentFile
from guyline.services.plan_exchange import export_places, write_share_copy
from guyline.services.plan_files import SUFFIX
from guyline.services.terrain_download import Download
from guyline.services.wording import counted
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.place_import import PlaceImport, sent_text
from guyline.viewmodels.plan_merge import PlanMerge
from guyline.viewmodels.terrain_fetch import TerrainFetch
from guyline.widgets.history_dialog import HistoryDialog
from guyline.widgets.import_dialog import ImportDialog
from guyline.widgets.merge_dialog import MergeDialog
from guyline.widgets.notices import NoticeBar
from guyline.widgets.terrain_dialog import TerrainDialog

Result = TypeVar("Result")


class Exchange(QObject):
    """What the menu offers for other programs and other people; `window` owns the dialogs."""

    def __init__(self, desk: Desk, notices: NoticeBar, window: QWidget) -> None:
        super().__init__(window)
        self._desk, self._notices, self._window = desk, notices, window
        self._running = 0

    def import_places(self) -> None:
        """Ask for a file of places, show what it holds, and add what is ticked."""
        kinds = " ".join(f"*{suffix}" for suffix in FORMATS)
        name, _ = QFileDialog.getOpenFileName(
            self._window, "Import places", self._folder(), f"Places ({kinds});;All files (*)"
        )
        if name:
            self.read(Path(name))

    def paste_places(self) -> None:
        """Show the places that a text on the clipboard lists, and add what is ticked."""
        text = QGuiApplication.clipboard().text()
        if text.strip():
            self.look_at(sent_text(text))
        else:
            self._notices.tell("The clipboard holds no text to paste.")

    def read(self, path: Path) -> None:
        """Show what a file of places holds; the plan changes when that is accepted."""
        self.look_at(SentFile(name=path.name, path=path))

    def look_at(self, sent: SentFile) -> ImportDialog:
        desk = self._desk
        places = PlaceImport(sent, desk.document, desk.selection, desk.terrain)
        places.crashed.connect(desk.session.crashed)
        dialog = ImportDialog(places, self._window)
        dialog.accepted.connect(lambda: self._tell_import(places))
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        return dialog

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
        self._do(
            lambda: export_places(plan, path),
            lambda count: self._notices.tell(
                f"{counted(count, 'site')} written to {path.name}.",
                "Notes and telephone numbers were left out.",
            ),
        )

    @property
    def is_busy(self) -> bool:
        """Whether a file is being written."""
        return self._running > 0

    def _do(self, work: Callable[[], Result], tell: Callable[[Result], object]) -> None:
        """Write something off the GUI thread, and tell how that went."""
        runner = JobRunner(lambda job: work(), self)
        runner.succeeded.connect(tell)
        runner.refused.connect(self._notices.tell_error)
        runner.crashed.connect(self._desk.session.crashed)
        runner.finished.connect(self._finish)
        self._running += 1
        runner.start()

    def _finish(self) -> None:
        self._running -= 1

    def export_comms_forms(self) -> None:
        """Write the tables that incident command works with."""
        start = str(Path(self._folder()) / f"{self._desk.session.name}.csv")
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Export communications plan", start, "Tables (*.csv)"
        )
        if name:
            path = Path(name if name.lower().endswith(".csv") else name + ".csv")
            plan, now = self._desk.document.plan, datetime.now().astimezone()
            self._do(lambda: write_comms_forms(plan, path, now), self._tell_forms)

    def _tell_forms(self, written: tuple[Path, ...]) -> None:
        told = ", ".join(path.name for path in written)
        self._notices.tell(f"Written: {told}.", "The list may hold telephone numbers.")

    def save_share_copy(self) -> None:
        """Save a copy without telephone numbers, keys and codes."""
        start = str(Path(self._folder()) / f"{self._desk.session.name} to share{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(
            self._window, "Save a copy to give away", start, f"Plans (*{SUFFIX})"
        )
        if name:
            self.share(Path(name if name.endswith(SUFFIX) else name + SUFFIX))

    def share(self, path: Path) -> None:
        own = self._desk.session.path
        if own is not None and path.resolve() == own.resolve():
            self._notices.tell("The copy would replace the plan itself.", "Choose another name.")
            return
        plan = self._desk.document.plan
        self._do(
            lambda: write_share_copy(plan, path),
            lambda nothing: self._notices.tell(
                f"A copy to give away was saved as {path.name}.",
                "Telephone numbers, key holders and codes are masked. Read it before you send it.",
            ),
        )

    def merge_copy(self) -> None:
        """Ask for another planner's copy and show what merging it would do."""
        name, _ = QFileDialog.getOpenFileName(
            self._window, "Merge another copy", self._folder(), f"Plans (*{SUFFIX});;All files (*)"
        )
        if name:
            self.merge(Path(name))

    def merge(self, path: Path) -> MergeDialog:
        """Show what merging a copy would do; the plan changes when that is accepted."""
        merge = PlanMerge(path, self._desk.document)
        merge.crashed.connect(self._desk.session.crashed)
        dialog = MergeDialog(merge, self._window)
        dialog.accepted.connect(
            lambda: self._notices.tell(
                f"Merged {merge.name}.", action=("Undo", self._desk.document.undo_stack.undo)
            )
        )
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        return dialog

    def show_changes(self) -> HistoryDialog:
        """Show what changed since the last save, review or print."""
        dialog = HistoryDialog(self._desk.history, self._desk.selection, self._window)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        return dialog

    def get_terrain(self) -> TerrainDialog:
        """Offer to fetch terrain for the area of the plan."""
        terrain = TerrainFetch(self._desk.document)
        terrain.done.connect(
            lambda download: self._tell_terrain(download, terrain.tile_set.is_cover)
        )
        terrain.crashed.connect(self._desk.session.crashed)
        dialog = TerrainDialog(terrain, self._window)
        dialog.finished.connect(dialog.deleteLater)
        dialog.open()
        return dialog

    def _tell_terrain(self, download: Download, is_cover: bool) -> None:
        if download.sources and not (is_cover and download.problems):
            missing = len(download.missing)
            files = counted(len(download.sources), "elevation file")
            self._notices.tell(
                "Land cover of the area is in the plan." if is_cover else f"{files} in the plan.",
                f"{counted(missing, 'tile')} not there: the ground is unknown." if missing else "",
                ("Undo", self._desk.document.undo_stack.undo),
            )

    def _tell_import(self, places: PlaceImport) -> None:
        self._notices.tell(
            f"{places.done} from {places.name}.",
            action=("Undo", self._desk.document.undo_stack.undo),
        )
        self._desk.selection.select_site(places.taken[0].site_id)

    def _folder(self) -> str:
        path = self._desk.session.path
        return "" if path is None else str(path.parent)
