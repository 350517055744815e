"""A job tells one outcome, on the thread of the window, and then that it has finished."""

from __future__ import annotations

import logging
import threading

import pytest
from pyproj import Transformer
from pytestqt.qtbot import QtBot

from guyline.errors import InputError, JobCancelled
from guyline.services.job import Job
from guyline.viewmodels.job_runner import JobRunner, wait_for_jobs


def outcome(qtbot: QtBot, work: object) -> list[object]:
    runner = JobRunner(work)  # type: ignore[arg-type]  # each test gives a callable
    told: list[object] = []
    runner.succeeded.connect(told.append)
    runner.refused.connect(told.append)
    runner.crashed.connect(told.append)
    runner.cancelled.connect(lambda: told.append("cancelled"))
    with qtbot.waitSignal(runner.finished):
        runner.start()
    return told


def test_a_result_is_handed_over(qtbot: QtBot) -> None:
    assert outcome(qtbot, lambda job: 42) == [42]


def test_a_refusal_is_told_as_such(qtbot: QtBot) -> None:
    def refuse(job: Job) -> None:
        raise InputError("no")

    (told,) = outcome(qtbot, refuse)
    assert isinstance(told, InputError)


def test_a_cancel_wish_unwinds_the_job(qtbot: QtBot) -> None:
    def stop(job: Job) -> None:
        raise JobCancelled

    assert outcome(qtbot, stop) == ["cancelled"]


def test_a_programming_error_is_logged_and_told(
    qtbot: QtBot, caplog: pytest.LogCaptureFixture
) -> None:
    def fail(job: Job) -> None:
        raise KeyError("x")

    (told,) = outcome(qtbot, fail)
    assert isinstance(told, KeyError)
    assert [record.levelno for record in caplog.records] == [logging.ERROR]


def test_a_running_job_can_be_cancelled_and_waited_for(qtbot: QtBot) -> None:
    begun, job_seen = threading.Event(), []

    def work(job: Job) -> None:
        job_seen.append(job)
        begun.set()
        while True:
            job.check()

    runner = JobRunner(work)
    runner.start()
    assert begun.wait(5)
    assert not wait_for_jobs(0.05)
    with qtbot.waitSignal(runner.cancelled):
        runner.cancel()
    assert wait_for_jobs(5)


def test_one_projection_serves_job_after_job(qtbot: QtBot) -> None:
    """On threads of QThreadPool the second job crashed: pyproj 3.7 used a freed context."""
    to_metres = Transformer.from_crs(4326, 32722, always_xy=True)
    for _ in range(3):
        (told,) = outcome(qtbot, lambda job: to_metres.transform(-51.0, -45.0))
        assert told[0] == pytest.approx(500_000.0, abs=1.0)  # type: ignore[index]  # on the meridian of zone 22
