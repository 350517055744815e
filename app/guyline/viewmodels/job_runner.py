"""Runs a job on a thread of its own; its signals arrive on the GUI thread."""

from __future__ import annotations

import logging
import threading
import time
from collections import deque
from collections.abc import Callable

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, Signal
from shiboken6 import isValid

from guyline.errors import GuylineError, JobCancelled
from guyline.services.job import Job

log = logging.getLogger(__name__)

_running: set[JobRunner] = set()
_concluded: deque[JobRunner] = deque(maxlen=16)
"""Kept a while: Qt still uses the receiver of an event after its slot has returned."""


class JobRunner(QObject):
    """One run of `work`; exactly one of the four outcomes is signalled, then `finished`.

    The thread is Python's, not one of QThreadPool: Qt's threads outlive the Python state in
    them, and pyproj 3.7 then uses a freed context in the next job on the same thread and crashes.

    A runner lives until its thread has ended, whatever becomes of `owner`;
    it tells nothing once `owner` is gone.
    """

    progressed = Signal(float, str)
    succeeded = Signal(object)
    refused = Signal(GuylineError)
    crashed = Signal(Exception)
    cancelled = Signal()
    finished = Signal()

    _ended = Signal()

    def __init__(self, work: Callable[[Job], object], owner: QObject | None = None) -> None:
        super().__init__()
        self._work = work
        self._owner = owner
        self._job = Job(lambda done, text: self.progressed.emit(done, text))
        self._outcome: Callable[[], None] = _nothing
        self._thread = threading.Thread(target=self._run, name="job", daemon=True)
        self._ended.connect(self._conclude, Qt.ConnectionType.QueuedConnection)

    def start(self) -> None:
        _running.add(self)
        self._thread.start()

    def cancel(self) -> None:
        self._job.cancel()

    def _run(self) -> None:
        self._outcome = self._worked_out()
        self._ended.emit()

    def _worked_out(self) -> Callable[[], None]:
        """Do the work, and return what is to be told of it."""
        try:
            result = self._work(self._job)
        except JobCancelled:
            return self.cancelled.emit
        except GuylineError as error:
            refusal = error
            return lambda: self.refused.emit(refusal)
        except Exception as error:
            log.exception("job failed")
            fault = error
            return lambda: self.crashed.emit(fault)
        return lambda: self.succeeded.emit(result)

    def _conclude(self) -> None:
        self._thread.join()  # from here on no other thread touches this object
        _running.discard(self)
        _concluded.append(self)
        outcome = self._forget()
        if self._owner is None or isValid(self._owner):
            outcome()
        if self._owner is None or isValid(self._owner):
            self.finished.emit()

    def _forget(self) -> Callable[[], None]:
        """Let go of work and result, which may be large, and return what is to be told."""
        outcome = self._outcome
        self._work, self._outcome, self._job = _nothing, _nothing, Job()
        return outcome


def _nothing(*given: object) -> None:
    """Stand for work and outcome of a runner that has concluded."""


def wait_for_jobs(seconds: float) -> bool:
    """Wait until no job works any more, and say whether that came about in time."""
    end = time.monotonic() + seconds
    threads = [runner._thread for runner in tuple(_running)]
    for thread in threads:
        thread.join(max(0.0, end - time.monotonic()))
    return not any(thread.is_alive() for thread in threads)


def end_jobs(seconds: float) -> bool:
    """Cancel every job, also those that the end of another starts, and say whether all ended.

    What has ended is told as usual: whoever wants to hear nothing more blocks its signals first.
    """
    end = time.monotonic() + seconds
    while _running and time.monotonic() < end:
        for runner in tuple(_running):
            runner.cancel()
        wait_for_jobs(max(0.0, end - time.monotonic()))
        QCoreApplication.sendPostedEvents(None, QEvent.Type.MetaCall.value)
    return not _running
