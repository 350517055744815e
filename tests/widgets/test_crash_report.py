"""A fault of the program: the work is kept first, then it is told."""

from __future__ import annotations

import sys

import pytest
from PySide6.QtWidgets import QPlainTextEdit
from pytestqt.qtbot import QtBot

from guyline.widgets.crash_report import FaultDialog, FaultWatch, report


def fault() -> ZeroDivisionError:
    try:
        1 / 0  # noqa: B018 - the fault is the point
    except ZeroDivisionError as error:
        return error
    raise AssertionError


def test_a_fault_keeps_the_work_and_then_tells(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    order: list[str] = []
    watch = FaultWatch(lambda: order.append("kept"))
    watch.faulted.connect(lambda text: order.append("told"))
    error = fault()
    watch.take(type(error), error, error.__traceback__)
    assert order == ["kept", "told"]
    assert "fault in the program" in caplog.text


def test_an_interrupt_from_the_keyboard_is_no_fault(
    qtbot: QtBot, capsys: pytest.CaptureFixture[str]
) -> None:
    watch = FaultWatch(lambda: None)
    with qtbot.assertNotEmitted(watch.faulted):
        watch.take(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert "KeyboardInterrupt" in capsys.readouterr().err


def test_the_watch_takes_over_the_hook(qtbot: QtBot, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "excepthook", sys.excepthook)
    watch = FaultWatch(lambda: None)
    watch.install()
    assert sys.excepthook == watch.take


def test_the_report_names_versions_and_the_place_of_the_fault(qtbot: QtBot) -> None:
    text = report(fault())
    assert "ZeroDivisionError" in text
    assert "Guyline" in text.splitlines()[0]
    assert "test_crash_report.py" in text


def test_the_dialog_shows_the_whole_report_to_be_copied(qtbot: QtBot) -> None:
    dialog = FaultDialog("the report")
    qtbot.addWidget(dialog)
    assert dialog.findChild(QPlainTextEdit).toPlainText() == "the report"
