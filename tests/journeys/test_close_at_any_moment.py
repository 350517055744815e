"""The window is closed while the plan is still being opened and judged: the program just ends."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

import guyline

SCRIPT = """
import sys
from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication
from guyline.widgets import application
from guyline.widgets.main_window import MainWindow

def close():
    for window in QApplication.topLevelWidgets():
        if isinstance(window, MainWindow):
            window.close()

class Application(QApplication):
    def exec(self):
        QTimer.singleShot(int(sys.argv[1]), close)
        return QApplication.exec()

application.QApplication = Application
sys.exit(application.open_window(None))
"""


@pytest.mark.parametrize("after_ms", [0, 300, 450, 600, 1_000])
def test_closing_early_ends_the_program_without_a_fault(tmp_path: Path, after_ms: int) -> None:
    homes = ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_DOCUMENTS_DIR")
    result = subprocess.run(
        [sys.executable, "-X", "faulthandler", "-c", SCRIPT, str(after_ms)],
        env={
            **os.environ,
            **dict.fromkeys(homes, str(tmp_path)),
            "PYTHONPATH": str(Path(guyline.__file__).parents[1]),
            "QT_QPA_PLATFORM": "offscreen",
            "MALLOC_PERTURB_": "165",  # freed memory is overwritten, so that its use shows
        },
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert result.returncode == 0, result.stderr[-2_000:]
