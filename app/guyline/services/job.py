"""What a long computation may say and hear, with no Qt in sight."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sized
from threading import Event
from typing import Protocol, TypeVar

from guyline.errors import JobCancelled

T = TypeVar("T")


class ReportsProgress(Protocol):
    """Told how much is done (0 to 1, or -1 where the length is unknown) and of what."""

    def __call__(self, done: float, text: str) -> None: ...


class Job:
    """Carries progress out of a computation and a cancel wish into it."""

    def __init__(self, report: ReportsProgress = lambda done, text: None) -> None:
        self._report = report
        self._cancelled = Event()

    @property
    def is_cancelled(self) -> bool:
        return self._cancelled.is_set()

    def cancel(self) -> None:
        self._cancelled.set()

    def check(self) -> None:
        """Raise JobCancelled if somebody asked this job to stop."""
        if self._cancelled.is_set():
            raise JobCancelled

    def report(self, done: float, text: str) -> None:
        self.check()
        self._report(done, text)

    def track(self, items: Iterable[T], text: str) -> Iterator[T]:
        """Yield `items`, reporting after each and stopping on cancel."""
        total = len(items) if isinstance(items, Sized) else 0
        for n, item in enumerate(items, 1):
            self.check()
            yield item
            self._report(n / total if total else -1.0, text)
