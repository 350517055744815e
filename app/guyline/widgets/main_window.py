"""The window: menus, files, and what they do to the desk."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import platformdirs
from PySide6.QtCore import QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication, QFileDialog, QMainWindow, QMenu, QMessageBox, QWidget

from guyline.core.plan import Plan
from guyline.errors import GuylineError
from guyline.services.opening import demo_copy
from guyline.services.plan_files import SUFFIX
from guyline.services.practice import practice_copy
from guyline.services.recovery import Unsaved, unsaved_plans
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.path_following import path_between
from guyline.viewmodels.settings import GEOMETRY, LAST_FOLDER, RECENT, TEXT_POINTS, THEME
from guyline.viewmodels.site_edits import with_copies, with_links, with_new_site
from guyline.widgets.about import AboutDialog, credits_of
from guyline.widgets.actions import build_menus
from guyline.widgets.crash_report import FaultDialog, report
from guyline.widgets.file_drop import FileDrop
from guyline.widgets.theme import DARK, LIGHT, THEMES, CurrentTheme, apply_theme
from guyline.widgets.workspace import Workspace

if TYPE_CHECKING:
    from guyline.widgets.exchange import Exchange

PLAN_FILES = f"Plans (*{SUFFIX});;All files (*)"
_LARGEST_START = QSize(1680, 1020)
_SMALLEST_TEXT, _LARGEST_TEXT = 7.0, 18.0


class MainWindow(QMainWindow):
    """One desk in one window; closing it asks only where work would be lost."""

    def __init__(self, desk: Desk, theme: CurrentTheme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("main")
        self._desk, self._theme = desk, theme
        self._is_given_up = False
        self.workspace = Workspace(desk, theme, self)
        self.setCentralWidget(self.workspace)
        self.drop = FileDrop(
            self,
            places=lambda path: self.exchange.read(path),
            terrain=lambda paths: self.workspace.plan.take_terrain(paths),
            plan=self.open_path,
        )
        self._recent = QMenu(self)
        self._recent.aboutToShow.connect(self._fill_recent)
        self.actions_by_key = build_menus(self, self._deeds(), self._recent)
        self._restore()
        self._connect()
        self._show_title()

    @property
    def desk(self) -> Desk:
        return self._desk

    @cached_property
    def exchange(self) -> Exchange:
        from guyline.widgets.exchange import Exchange  # its dialogs can wait, a start cannot

        return Exchange(self._desk, self.workspace.notices, self)

    def open_path(self, path: Path) -> None:
        """Open a plan, once the one on the desk is safe."""
        self._leave(lambda: self._desk.session.open(path))

    def open_demo(self) -> None:
        """Open a copy of the demo plan in the user's own documents."""
        self._leave(lambda: self._open_copy(demo_copy))

    def open_practice(self) -> None:
        """Open the plan with mistakes on purpose, as the user left it."""
        self._leave(lambda: self._open_copy(practice_copy))

    def _open_copy(self, copy: Callable[[Path], Path]) -> None:
        try:
            folder = Path(platformdirs.user_documents_dir()) / "Guyline"
            self._desk.session.open(copy(folder))
        except GuylineError as error:
            self.workspace.notices.tell_error(error)

    def new(self) -> None:
        self._leave(self._begin)

    def _begin(self) -> None:
        self._desk.session.new(Plan())
        self.workspace.side.show_page(self.workspace.board)

    def open(self) -> None:
        name, _ = QFileDialog.getOpenFileName(self, "Open plan", self._folder(), PLAN_FILES)
        if name:
            self._desk.settings.put(LAST_FOLDER, str(Path(name).parent))
            self.open_path(Path(name))

    def save(self, then: Callable[[], object] = lambda: None) -> None:
        """Save where the plan came from, or ask where it should go; then go on."""
        path = self._desk.session.path
        if path is None:
            self.save_as(then)
        else:
            self._desk.session.save(path, then=then)

    def save_as(self, then: Callable[[], object] = lambda: None) -> None:
        start = str(Path(self._folder()) / f"{self._desk.session.name}{SUFFIX}")
        name, _ = QFileDialog.getSaveFileName(self, "Save plan as", start, PLAN_FILES)
        if name:
            path = Path(name if name.endswith(SUFFIX) else name + SUFFIX)
            self._desk.settings.put(LAST_FOLDER, str(path.parent))
            self._desk.session.save(path, then=then)

    def print_sheets(self) -> None:
        from guyline.widgets.print_preview import print_sheets

        desk = self._desk
        print_sheets(self, desk.document, desk.live, desk.session.name)

    def export_pdf(self) -> None:
        from guyline.widgets.print_preview import export_pdf

        desk = self._desk
        export_pdf(self, desk.document, desk.live, desk.session.name)

    def add_site(self) -> None:
        after, site_id = with_new_site(self._desk.document.plan)
        self._desk.document.edit(after, f"Add {site_id}")
        self.workspace.table.show_site(site_id)

    def duplicate_sites(self) -> None:
        chosen = self.workspace.table.selected_sites
        if chosen:
            after, made = with_copies(self._desk.document.plan, chosen)
            self._desk.document.edit(after, f"Duplicate {', '.join(chosen)}")
            self.workspace.table.show_site(made[-1])

    def remove_sites(self) -> None:
        chosen = self.workspace.table.selected_sites
        if chosen:
            after = self._desk.document.plan.without_sites(chosen)
            self._desk.document.edit(after, f"Remove {', '.join(chosen)}")
            self.workspace.notices.tell(
                f"Removed {', '.join(chosen)} with their links and needs.",
                action=("Undo", self._desk.document.undo_stack.undo),
            )

    def link_sites(self) -> None:
        chosen = self.workspace.table.selected_sites
        if len(chosen) < 2:
            self.workspace.notices.tell("Select the sites that must hear each other, then link.")
            return
        self._desk.document.edit(with_links(self._desk.document.plan, chosen), "Link sites")

    def show_path(self) -> None:
        chosen = self.workspace.table.selected_sites
        path = path_between(self._desk.document.plan, *chosen) if len(chosen) == 2 else None
        if path is None:
            self.workspace.notices.tell("Select two sites that have a position.")
            return
        self._desk.selection.select_path(path)

    def show_checks(self) -> None:
        """Show the check catalogue over the plan, once it has been assessed."""
        from guyline.widgets.check_dialog import CheckDialog

        current = self._desk.live.current
        if current is None:
            return
        dialog = CheckDialog(current, self._theme.value, self)
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.site_chosen.connect(self.workspace.board.site_chosen)
        dialog.open()

    def tell_fault(self, text: str) -> None:
        """Show a fault of the program, once at a time; the plan stays on the desk."""
        if self.findChild(FaultDialog) is None:
            dialog = FaultDialog(text, self)
            dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
            dialog.open()

    def use_theme(self, name: str) -> None:
        """Dress the window, and remember it."""
        theme = THEMES.get(name, LIGHT)
        self._desk.settings.put(THEME, theme.name)
        self._dress(theme.name, self._desk.settings.get(TEXT_POINTS))

    def resize_text(self, by_points: float) -> None:
        points = self._desk.settings.get(TEXT_POINTS) + by_points
        points = min(_LARGEST_TEXT, max(_SMALLEST_TEXT, points))
        self._desk.settings.put(TEXT_POINTS, points)
        self._dress(self._theme.value.name, points)

    def _dress(self, name: str, points: float) -> None:
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        apply_theme(app, THEMES[name], points)
        self._theme.use(THEMES[name])
        self.actions_by_key["dark"].setChecked(THEMES[name].is_dark)

    def _deeds(self) -> dict[str, Callable[[], object]]:
        """Return what each action of the menus does."""
        work, stack = self.workspace, self._desk.document.undo_stack
        return {
            "new": self.new,
            "open": self.open,
            "open_demo": self.open_demo,
            "open_practice": self.open_practice,
            "save": self.save,
            "save_as": self.save_as,
            "import_places": lambda: self.exchange.import_places(),
            "export_places": lambda: self.exchange.export_places(),
            "export_comms": lambda: self.exchange.export_comms_forms(),
            "share_copy": lambda: self.exchange.save_share_copy(),
            "merge_copy": lambda: self.exchange.merge_copy(),
            "paste_places": lambda: self.exchange.paste_places(),
            "show_changes": lambda: self.exchange.show_changes(),
            "mark_reviewed": self._desk.history.mark_reviewed,
            "get_terrain": lambda: self.exchange.get_terrain(),
            "print": self.print_sheets,
            "export_pdf": self.export_pdf,
            "quit": self.close,
            "undo": stack.undo,
            "redo": stack.redo,
            "copy": work.table.copy,
            "paste": work.table.paste,
            "find": work.find_box.setFocus,
            "add_site": self.add_site,
            "duplicate_sites": self.duplicate_sites,
            "remove_sites": self.remove_sites,
            "edit_cell": work.table.edit_current,
            "link_sites": self.link_sites,
            "show_path": self.show_path,
            "show_board": lambda: work.side.show_page(work.board),
            "show_readiness": lambda: work.side.show_page(work.readiness),
            "show_link": lambda: work.side.show_page(work.link),
            "show_details": lambda: work.side.show_page(work.details),
            "show_plan": lambda: work.side.show_page(work.plan),
            "show_power": lambda: work.side.show_page(work.power),
            "dark": lambda: self.use_theme((LIGHT if self._theme.value.is_dark else DARK).name),
            "larger_text": lambda: self.resize_text(1.0),
            "smaller_text": lambda: self.resize_text(-1.0),
            "reset_layout": work.reset_layout,
            "assess_again": self._desk.live.refresh,
            "show_checks": self.show_checks,
            "about": lambda: AboutDialog(self, credits_of(self._desk.document.plan)).exec(),
        }

    def _connect(self) -> None:
        stack, actions = self._desk.document.undo_stack, self.actions_by_key
        for key in ("undo", "redo"):
            actions[key].setEnabled(False)
        stack.canUndoChanged.connect(actions["undo"].setEnabled)
        stack.canRedoChanged.connect(actions["redo"].setEnabled)
        stack.undoTextChanged.connect(self._name_undo)
        stack.redoTextChanged.connect(self._name_redo)
        self._desk.session.renamed.connect(self._show_title)
        self.workspace.board.action_wanted.connect(lambda key: actions[key].trigger())
        session, tell = self._desk.session, self.workspace.notices.tell
        session.replaced.connect(self.workspace.notices.hide)
        session.saving.connect(lambda is_saving: self._show_title())
        session.noticed.connect(tell)
        self._desk.history.marked.connect(self._tell_marked)
        self._desk.history.refused.connect(self.workspace.notices.tell_error)
        self._desk.history.crashed.connect(self._tell_job_fault)
        session.recoverable.connect(self._offer_recovery)
        session.conflicted.connect(self._ask_to_replace)
        for source in (session, self._desk.live):
            source.crashed.connect(self._tell_job_fault)

    def _tell_marked(self, told: str) -> None:
        action = ("What changed", lambda: self.exchange.show_changes())
        self.workspace.notices.tell(told, action=action)

    def _tell_job_fault(self, error: Exception) -> None:
        self._desk.session.journal_now()
        self.tell_fault(report(error))

    def _name_undo(self, step: str) -> None:
        self.actions_by_key["undo"].setText(_with_step("Undo", step))

    def _name_redo(self, step: str) -> None:
        self.actions_by_key["redo"].setText(_with_step("Redo", step))

    def _offer_recovery(self, unsaved: Unsaved) -> None:
        self.workspace.notices.tell(
            f"Changes of {unsaved.written_at:%d %b %H:%M} were not saved when the program ended.",
            "The file was saved after them." if unsaved.is_older_than_file else "",
            ("Bring them back", lambda: self._desk.session.recover(unsaved)),
        )

    def offer_unnamed(self) -> None:
        """Offer a plan that was never saved when the program ended; the latest, if several."""
        unnamed = [unsaved for unsaved in unsaved_plans() if unsaved.path is None]
        if unnamed:
            self.workspace.notices.tell(
                f"A plan of {unnamed[0].written_at:%d %b %H:%M} was never saved.",
                action=("Bring it back", lambda: self._bring_back(unnamed[0])),
            )

    def _bring_back(self, unsaved: Unsaved) -> None:
        self._leave(lambda: self._begin_with(unsaved))

    def _begin_with(self, unsaved: Unsaved) -> None:
        self._desk.session.new(Plan())
        self._desk.session.recover(unsaved)

    def _ask_to_replace(self, path: Path) -> None:
        box = QMessageBox(self)
        box.setIcon(QMessageBox.Icon.Warning)
        box.setText(f"{path.name} was changed by somebody else since it was opened here.")
        box.setInformativeText("Replacing it loses what they changed.")
        save_as = box.addButton("Save under another name", QMessageBox.ButtonRole.AcceptRole)
        replace = box.addButton("Replace it", QMessageBox.ButtonRole.DestructiveRole)
        box.addButton(QMessageBox.StandardButton.Cancel)
        box.setDefaultButton(save_as)
        box.exec()
        if box.clickedButton() is save_as:
            self.save_as()
        elif box.clickedButton() is replace:
            self._desk.session.save(path, even_if_changed=True)

    def _show_title(self) -> None:
        session = self._desk.session
        state = " (read only)" if session.is_read_only else ""
        state = " (saving…)" if session.is_saving else state
        self.setWindowTitle(f"{session.name}{state}[*] – Guyline")
        self.setWindowModified(self._desk.document.is_modified)
        self.setWindowFilePath("" if session.path is None else str(session.path))

    def _fill_recent(self) -> None:
        self._recent.clear()
        for name in self._desk.settings.get(RECENT):
            action = self._recent.addAction(Path(name).name.removesuffix(SUFFIX))
            action.setToolTip(name)
            action.triggered.connect(lambda checked, name=name: self.open_path(Path(name)))
        if self._recent.isEmpty():
            self._recent.addAction("No plans yet").setEnabled(False)

    def _folder(self) -> str:
        path = self._desk.session.path
        if path is not None:
            return str(path.parent)
        return self._desk.settings.get(LAST_FOLDER) or platformdirs.user_documents_dir()

    def _leave(self, deed: Callable[[], object]) -> None:
        """Do what takes the plan off the desk; asks only where work would be lost."""
        if self._desk.session.is_saving:
            self._desk.session.after_save(lambda: self._leave(deed))
            return
        if not self._desk.document.is_modified:
            deed()
            return
        button = QMessageBox.StandardButton
        answer = QMessageBox.warning(
            self,
            "Guyline",
            f"{self._desk.session.name} has changes that are not saved.",
            button.Save | button.Discard | button.Cancel,
            button.Save,
        )
        if answer == button.Save:
            self.save(then=lambda: self._leave(deed))
        elif answer == button.Discard:
            deed()

    def _restore(self) -> None:
        settings = self._desk.settings
        self.resize(self.screen().availableSize().boundedTo(_LARGEST_START))
        if not settings.get(GEOMETRY).isEmpty():
            self.restoreGeometry(settings.get(GEOMETRY))
        self._dress(
            settings.get(THEME) if settings.get(THEME) in THEMES else LIGHT.name,
            settings.get(TEXT_POINTS),
        )
        self.workspace.restore(settings)

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._is_given_up or not (
            self._desk.document.is_modified or self._desk.session.is_saving
        ):
            self._shut_down()
            event.accept()
        else:
            event.ignore()
            self._leave(self._give_up)

    def _give_up(self) -> None:
        self._is_given_up = True
        QTimer.singleShot(0, self.close)  # a window that is just closing takes no second wish

    def _shut_down(self) -> None:
        self._desk.settings.put(GEOMETRY, self.saveGeometry())
        self.workspace.remember(self._desk.settings)
        self.workspace.shut_down()
        self._desk.shut_down()


def _with_step(word: str, step: str) -> str:
    """Return the text of undo or redo with what it would take back or do again."""
    return f"&{word} {step[:1].lower()}{step[1:]}" if step else f"&{word}"
