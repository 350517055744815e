"""What happens when the program itself is wrong: the work is kept, the report can be copied."""

from __future__ import annotations

import logging
import platform
import sys
import traceback
from collections.abc import Callable
from types import TracebackType

from PySide6.QtCore import QObject, Signal, qVersion
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from guyline import __version__
from guyline.widgets.theme import GRID_PX

log = logging.getLogger(__name__)

WHAT_NOW = (
    "Something went wrong in the program, not in your plan. The plan as it was has been kept "
    "and will be offered when it is opened again. Save it under another name if you can, "
    "and start the program anew."
)


class FaultWatch(QObject):
    """Takes over `sys.excepthook`; `faulted` carries the report of a fault, on any thread."""

    faulted = Signal(str)

    def __init__(self, keep_work: Callable[[], None], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._keep_work = keep_work

    def install(self) -> None:
        sys.excepthook = self.take

    def take(
        self, kind: type[BaseException], error: BaseException, trace: TracebackType | None
    ) -> None:
        """Keep the work first, then tell."""
        if issubclass(kind, KeyboardInterrupt):
            sys.__excepthook__(kind, error, trace)
            return
        log.error("fault in the program", exc_info=(kind, error, trace))
        self._keep_work()
        self.faulted.emit(report(error))


def report(error: BaseException) -> str:
    """Return what a developer needs, without anything of the plan."""
    lines = traceback.format_exception(error)
    return (
        f"Guyline {__version__}, Python {platform.python_version()}, Qt {qVersion()}, "
        f"{platform.system()} {platform.release()}\n\n{''.join(lines)}"
    )


class FaultDialog(QDialog):
    """Says what to do, and gives the report to be copied."""

    def __init__(self, text: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle("Guyline")
        what_now = QLabel(WHAT_NOW)
        what_now.setWordWrap(True)
        details = QPlainTextEdit(text)
        details.setReadOnly(True)
        details.setAccessibleName("Report")
        details.setMinimumSize(80 * GRID_PX, 30 * GRID_PX)
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        copy = buttons.addButton("Copy report", QDialogButtonBox.ButtonRole.ActionRole)
        copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(text))
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX)
        for widget in (what_now, details, buttons):
            layout.addWidget(widget)
