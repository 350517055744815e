"""Starts the program with its window."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from PySide6.QtCore import Qt
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
    window.show()
    if plan is None:
        window.open_demo()
    else:
        window.open_path(plan)
    status = app.exec()
    if not end_jobs(0.0):  # one that heeds no cancel must not find the program half gone
        os._exit(status)
    return status
