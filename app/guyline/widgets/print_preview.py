"""Preview, printing and PDF of the sheets: all of them show the same pages."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QObject, Qt, QUrl
from PySide6.QtGui import QDesktopServices
from PySide6.QtPrintSupport import QPrintDialog, QPrinter, QPrintPreviewWidget
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFileDialog,
    QHBoxLayout,
    QLabel,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from guyline.errors import GuylineError
from guyline.services.documents.choice import Choice
from guyline.services.wording import counted
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.paper.marks import Page
from guyline.viewmodels.paper.page_size import PAGE_SIZES
from guyline.viewmodels.paper.painting import for_screen
from guyline.viewmodels.paper.pdf import page_layout, write_pages
from guyline.viewmodels.paper.print_run import PrintRun
from guyline.viewmodels.paper.printed_sheets import PrintedSheets
from guyline.viewmodels.settings import Settings, stored_settings
from guyline.widgets.notices import NoticeBar
from guyline.widgets.panel import tight
from guyline.widgets.print_painting import paint_leaves
from guyline.widgets.theme import GRID_PX

_KEY = Qt.ItemDataRole.UserRole
_FLAGS = Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsUserCheckable | Qt.ItemFlag.ItemIsSelectable


def preview_sheets(
    parent: QWidget, document: PlanDocument, live: LiveAssessment, plan_name: str = ""
) -> PrintPreview:
    """Open the preview, from which sheets are printed and written; it blocks nothing."""
    preview = PrintPreview(PrintRun(document, live, _printed(), plan_name), parent)
    preview.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    preview.show()
    return preview


def print_sheets(
    parent: QWidget, document: PlanDocument, live: LiveAssessment, plan_name: str = ""
) -> PrintPreview:
    """Open the preview ready to print."""
    preview = preview_sheets(parent, document, live, plan_name)
    preview.print_button.setFocus()
    return preview


def export_pdf(
    parent: QWidget, document: PlanDocument, live: LiveAssessment, plan_name: str = ""
) -> None:
    """Ask for a name and write all sheets to a PDF as soon as they are laid out."""
    path = ask_pdf_name(parent, plan_name)
    if path is None:
        return
    run = PrintRun(document, live, _printed(), plan_name)
    PdfExport(run, path, parent)
    run.refresh()


class PdfExport(QObject):
    """Waits for the pages and writes them once; a later edit makes no second file."""

    def __init__(self, run: PrintRun, path: Path, window: QWidget) -> None:
        super().__init__(window)
        run.setParent(self)
        self._run, self._path, self._window = run, path, window
        self._is_done = False
        run.ready.connect(self._write)
        run.failed.connect(self._give_up)

    def _write(self) -> None:
        if not self._is_done:
            write_chosen(self._run, self._path, self._window)
            self._finish()

    def _give_up(self, error: GuylineError) -> None:
        if not self._is_done:
            tell_error(self._window, error)
            self._finish()

    def _finish(self) -> None:
        self._is_done = True
        self.deleteLater()


def _printed() -> PrintedSheets:
    return PrintedSheets(Settings(stored_settings()))


def write_chosen(run: PrintRun, path: Path, parent: QWidget) -> None:
    """Write what is chosen to a PDF, and say in the window's bar how that went."""
    try:
        write_pages(run.pages, path, run.page_size)
    except GuylineError as error:
        tell_error(parent, error)
    else:
        run.remember_printed()
        tell_written(parent, path, len(run.pages))


def ask_pdf_name(parent: QWidget, plan_name: str) -> Path | None:
    """Ask where the PDF goes; None where nobody answers."""
    start = f"{plan_name or 'site sheets'}.pdf"
    name, _ = QFileDialog.getSaveFileName(parent, "Export sheets", start, "PDF (*.pdf)")
    if not name:
        return None
    return Path(name if name.casefold().endswith(".pdf") else f"{name}.pdf")


def tell_written(parent: QWidget, path: Path, pages: int) -> None:
    """Say in the window's bar that a PDF was written, and offer to open it."""
    bar = _bar(parent)
    if bar is not None:
        url = QUrl.fromLocalFile(str(path))
        bar.tell(
            f"Wrote {counted(pages, 'page')} to {path.name}.",
            action=("Open", lambda: QDesktopServices.openUrl(url)),
        )


def tell_error(parent: QWidget, error: GuylineError) -> None:
    bar = _bar(parent)
    if bar is not None:
        bar.tell_error(error)


def _bar(parent: QWidget) -> NoticeBar | None:
    found = parent.findChild(NoticeBar)
    return found if isinstance(found, NoticeBar) else None


class PrintPreview(QDialog):
    """Pages at the right, at the left what is printed of them."""

    def __init__(self, run: PrintRun, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Print sheets")
        self.resize(1040, 700)
        run.setParent(self)
        self._run = run
        self._printer = QPrinter(QPrinter.PrinterMode.HighResolution)
        self._printer.setFullPage(True)
        self.choices = QListWidget()
        self.sizes = QComboBox()
        self.preview = QPrintPreviewWidget(self._printer)
        self.state = QLabel()
        self.print_button = QPushButton("&Print…")
        self.pdf_button = QPushButton("&Export PDF…")
        self.notices = NoticeBar(self)
        self._lay_out()
        self._connect()
        self._list_choices()
        run.refresh()

    @property
    def run(self) -> PrintRun:
        return self._run

    @property
    def pages(self) -> tuple[Page, ...]:
        return self._run.pages

    def choose_all(self) -> None:
        self._tick_all(Qt.CheckState.Checked)

    def choose_none(self) -> None:
        self._tick_all(Qt.CheckState.Unchecked)

    def choose_changed(self) -> None:
        """Leave out what was printed before and has not changed since."""
        changed = self._run.changed
        self.choices.blockSignals(True)
        for item in self._items():
            is_new = item.data(_KEY) in changed
            item.setCheckState(Qt.CheckState.Checked if is_new else Qt.CheckState.Unchecked)
        self.choices.blockSignals(False)
        self._follow_ticks()

    def print_pages(self) -> None:
        """Ask for a printer and print what is chosen."""
        dialog = QPrintDialog(self._printer, self)
        if dialog.exec() == QDialog.DialogCode.Accepted:
            paint_leaves(self._printer, self._run.leaves)
            self._run.remember_printed()

    def export(self) -> None:
        """Write what is chosen to a PDF."""
        path = ask_pdf_name(self, "")
        if path is not None:
            write_chosen(self._run, path, self)

    def _tick_all(self, state: Qt.CheckState) -> None:
        self.choices.blockSignals(True)
        for item in self._items():
            item.setCheckState(state)
        self.choices.blockSignals(False)
        self._follow_ticks()

    def _items(self) -> list[QListWidgetItem]:
        return [self.choices.item(row) for row in range(self.choices.count())]

    def _list_choices(self) -> None:
        """Show what can be printed; what was left out stays so."""
        known = {choice.key for choice in self._run.chosen}
        unchanged = self._run.unchanged
        row = self.choices.currentRow()
        self.choices.blockSignals(True)
        self.choices.clear()
        for choice in self._run.choices:
            item = QListWidgetItem(_words(choice, choice.key in unchanged))
            item.setData(_KEY, choice.key)
            item.setToolTip(choice.title)
            item.setFlags(_FLAGS)
            ticked = choice.key in known
            item.setCheckState(Qt.CheckState.Checked if ticked else Qt.CheckState.Unchecked)
            self.choices.addItem(item)
        self.choices.setCurrentRow(row)
        self.choices.blockSignals(False)

    def _show_first_page(self, row: int) -> None:
        """Turn the preview to the document that was pointed at."""
        item = self.choices.item(row)
        page = None if item is None else self._run.first_page_of(item.data(_KEY))
        if page is not None:
            self.preview.setCurrentPage(page)

    def _paint(self, printer: QPrinter) -> None:
        paint_leaves(printer, tuple(tuple(map(for_screen, leaf)) for leaf in self._run.leaves))

    def _tell_error(self, error: GuylineError) -> None:
        tell_error(self, error)

    def _tell_crash(self, error: Exception) -> None:
        self.state.setText("The pages could not be laid out.")

    def _follow_ticks(self, item: QListWidgetItem | None = None) -> None:
        unticked = Qt.CheckState.Unchecked
        self._run.leave_out([i.data(_KEY) for i in self._items() if i.checkState() == unticked])

    def _use_size(self, row: int) -> None:
        size = PAGE_SIZES[row]
        self._printer.setPageLayout(page_layout(size))
        self._run.use_size(size)

    def _show_pages(self) -> None:
        pages, documents = len(self._run.pages), len(self._run.leaves)
        words = f"{counted(pages, 'page')}, {counted(documents, 'document')}"
        self.state.setText(words if pages else "Nothing chosen.")
        self._list_choices()
        self._enable(bool(pages))
        self.preview.updatePreview()

    def _show_waiting(self, words: str) -> None:
        self.state.setText(words)
        self._enable(False)

    def _enable(self, is_ready: bool) -> None:
        self.print_button.setEnabled(is_ready)
        self.pdf_button.setEnabled(is_ready)

    def _connect(self) -> None:
        self._run.ready.connect(self._show_pages)
        self._run.waiting.connect(self._show_waiting)
        self._run.listed.connect(self._list_choices)
        self._run.failed.connect(self._tell_error)
        self._run.crashed.connect(self._tell_crash)
        self.preview.paintRequested.connect(self._paint)
        self.choices.itemChanged.connect(self._follow_ticks)
        self.choices.currentRowChanged.connect(self._show_first_page)
        self.sizes.currentIndexChanged.connect(self._use_size)
        self.print_button.clicked.connect(self.print_pages)
        self.pdf_button.clicked.connect(self.export)

    def _lay_out(self) -> None:
        self.choices.setAccessibleName("What to print")
        self.choices.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.preview.setAccessibleName("Pages")
        self.sizes.addItems([size.name for size in PAGE_SIZES])
        self.sizes.setAccessibleName("Paper size")
        self._printer.setPageLayout(page_layout(PAGE_SIZES[0]))
        side = QVBoxLayout()
        side.setSpacing(GRID_PX)
        side.addWidget(self.choices, 1)
        side.addLayout(
            _row(
                _button("&All", self.choose_all, "Print every document"),
                _button("&Changed", self.choose_changed, "Only what changed since last printed"),
                _button("&None", self.choose_none, "Begin with an empty choice"),
            )
        )
        side.addLayout(_row(QLabel("Paper"), self.sizes))
        side.addWidget(self.state)
        side.addWidget(self.print_button)
        side.addWidget(self.pdf_button)
        side.addWidget(_button("C&lose", self.close))
        self.print_button.setDefault(True)
        body = QHBoxLayout()
        body.setSpacing(GRID_PX)
        body.addLayout(side, 2)
        body.addWidget(self.preview, 5)
        whole = QVBoxLayout(self)
        whole.addWidget(self.notices)
        whole.addLayout(body, 1)
        self.preview.fitInView()


def _row(*widgets: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    tight(row, GRID_PX)
    for widget in widgets:
        row.addWidget(widget)
    return row


def _button(words: str, act: Callable[[], object], tip: str = "") -> QPushButton:
    button = QPushButton(words)
    button.setAutoDefault(False)
    button.setToolTip(tip)
    button.clicked.connect(lambda: act())
    return button


def _words(choice: Choice, is_unchanged: bool) -> str:
    """A document in the list: which, its verdict, and whether it is on paper already."""
    name = choice.title if choice.site_id is None else str(choice.site_id)
    verdict = "" if choice.verdict is None else f": {choice.verdict}"
    return f"{name}{verdict}{' (printed)' if is_unchanged else ''}"
