"""Starts the program with its window."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from pathlib import Path

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QIcon
from PySide6.QtWidgets import QApplication

from guyline import __version__
from guyline.services.resource_files import shipped
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.garbage import GarbageOnGuiThread
from guyline.viewmodels.job_runner import end_jobs
from guyline.viewmodels.settings import Settings, stored_settings
from guyline.widgets.crash_report import FaultWatch
from guyline.widgets.main_window import MainWindow
from guyline.widgets.theme import CurrentTheme, load_fonts

FIRST_FRAME_MS = 30
"""Our choice: the window is on the screen by then, and nobody waits for so little."""
SWITCH_S = 0.0003
"""How long a job may keep Python's lock from the window: at the usual 5 ms a relay that is dragged
while the plan is judged moved twice a second, at this five times (measured)."""
NEEDED_TO_OPEN = (
    "pyproj",
    "guyline.services.plan_files.model",
    "guyline.services.catalogue_rows",
)
"""Loaded on this thread: Qt's own look at every import is not made for two threads at once."""


def open_window(plan: Path | None) -> int:
    """Show the window on a plan, or on a copy of the demo plan, and return its exit status."""
    app = QApplication(sys.argv[:1])
    app.setApplicationName("Guyline")
    app.setApplicationVersion(__version__)
    app.setWindowIcon(QIcon(str(shipped("resources") / "icons" / "guyline.svg")))
    load_fonts()
    window = MainWindow(Desk(Settings(stored_settings())), CurrentTheme())
    GarbageOnGuiThread(window)
    watch = FaultWatch(window.desk.session.journal_now, window)
    watch.faulted.connect(window.tell_fault)
    watch.install()
    window.desk.following.begun.connect(
        window.offer_unnamed, Qt.ConnectionType.SingleShotConnection
    )
    sys.setswitchinterval(SWITCH_S)
    window.show()
    QTimer.singleShot(FIRST_FRAME_MS, lambda: _begin(window, plan))
    status = app.exec()
    if not end_jobs(0.0):  # one that heeds no cancel must not find the program half gone
        os._exit(status)
    return status


def _begin(window: MainWindow, plan: Path | None) -> None:
    """Open the plan, now that the window is there."""
    if not window.isVisible():  # closed already
        return
    for name in NEEDED_TO_OPEN:
        import_module(name)
    if plan is None:
        window.open_demo()
    else:
        window.open_path(plan)
