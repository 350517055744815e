"""Runs a job on a thread of its own; its signals arrive on the GUI thread."""

from __future__ import annotations

import logging
import threading
import time
from collections.abc import Callable

from PySide6.QtCore import QObject, Signal

from guyline.errors import GuylineError, JobCancelled
from guyline.services.job import Job

log = logging.getLogger(__name__)

_running: set[threading.Thread] = set()


class JobRunner(QObject):
    """One run of `work`; exactly one of the four outcomes is signalled, then `finished`.

    The thread is Python's, not one of QThreadPool: Qt's threads outlive the Python state in
    them, and pyproj 3.7 then uses a freed context in the next job on the same thread and crashes.
    """

    progressed = Signal(float, str)
    succeeded = Signal(object)
    refused = Signal(GuylineError)
    crashed = Signal(Exception)
    cancelled = Signal()
    finished = Signal()

    def __init__(self, work: Callable[[Job], object], parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._work = work
        self._job = Job(lambda done, text: self.progressed.emit(done, text))

    def start(self) -> None:
        thread = threading.Thread(target=self._run, name="job", daemon=True)
        _running.add(thread)
        thread.start()

    def cancel(self) -> None:
        self._job.cancel()

    def _run(self) -> None:
        try:
            self._report()
        finally:
            _running.discard(threading.current_thread())

    def _report(self) -> None:
        try:
            result = self._work(self._job)
        except JobCancelled:
            self.cancelled.emit()
        except GuylineError as error:
            self.refused.emit(error)
        except Exception as error:
            log.exception("job failed")
            self.crashed.emit(error)
        else:
            self.succeeded.emit(result)
        finally:
            self.finished.emit()


def wait_for_jobs(seconds: float) -> bool:
    """Wait until no job runs any more, and say whether that came about in time."""
    end = time.monotonic() + seconds
    for thread in tuple(_running):
        thread.join(max(0.0, end - time.monotonic()))
    return not any(thread.is_alive() for thread in tuple(_running))
