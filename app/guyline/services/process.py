"""Which process this is, and whether another one still runs."""

from __future__ import annotations

import os
import socket
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True, slots=True)
class ProcessMark:
    """A process on a machine; `started` tells it from a later one that got the same number."""

    pid: int
    host: str
    started: str

    @classmethod
    def of_this_process(cls) -> ProcessMark:
        return cls(os.getpid(), socket.gethostname(), _started(os.getpid()))

    @classmethod
    def from_raw(cls, raw: Any) -> ProcessMark:
        """Return the mark that `as_raw` gave; raises KeyError, TypeError or ValueError."""
        return cls(int(raw["pid"]), str(raw["host"]), str(raw["started"]))

    def as_raw(self) -> dict[str, str | int]:
        return {"pid": self.pid, "host": self.host, "started": self.started}

    @property
    def is_on_this_machine(self) -> bool:
        return self.host == socket.gethostname()

    @property
    def may_run(self) -> bool:
        """Whether the process may still run; of another machine nobody here can tell."""
        if not self.is_on_this_machine:
            return True
        return _runs(self.pid) and self.started == _started(self.pid)


def _runs(pid: int) -> bool:
    if pid <= 0:
        return False
    if sys.platform == "win32":
        return _runs_on_windows(pid)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True


def _started(pid: int) -> str:
    """Return when a process started, in the system's own count, or nothing where none is kept."""
    try:
        status = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8", errors="replace")
        return status.rpartition(")")[2].split()[19]  # proc(5): field 22, after the name in ( )
    except (OSError, IndexError):
        return ""


if sys.platform == "win32":

    def _runs_on_windows(pid: int) -> bool:
        # os.kill(pid, 0) would end the process there
        import ctypes

        query_limited_information, still_active = 0x1000, 259
        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(query_limited_information, False, pid)
        if not handle:
            return False
        code = ctypes.c_ulong()
        kernel.GetExitCodeProcess(handle, ctypes.byref(code))
        kernel.CloseHandle(handle)
        return code.value == still_active
