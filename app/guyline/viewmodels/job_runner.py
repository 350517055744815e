"""Runs a job on a pool thread; its signals arrive on the GUI thread."""

from __future__ import annotations

import logging
from collections.abc import Callable

from PySide6.QtCore import QObject, QRunnable, QThreadPool, Signal

from guyline.errors import GuylineError, JobCancelled
from guyline.services.job import Job

log = logging.getLogger(__name__)


class JobRunner(QObject):
    """One run of `work`; exactly one of the four outcomes is signalled, then `finished`."""

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

    def start(self, pool: QThreadPool | None = None) -> None:
        (pool or QThreadPool.globalInstance()).start(QRunnable.create(self._run))

    def cancel(self) -> None:
        self._job.cancel()

    def _run(self) -> None:
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
