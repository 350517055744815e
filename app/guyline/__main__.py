"""The command `guyline`: with nothing or a plan the window opens, with a command it runs that."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Sequence
from pathlib import Path

PLAN_SUFFIX = ".json"


def main(arguments: Sequence[str] | None = None) -> int:
    """Open the window or hand over to the command line, and return the exit status."""
    given = sys.argv[1:] if arguments is None else list(arguments)
    if given and not (len(given) == 1 and _is_plan(given[0])):
        from guyline import command_line

        return command_line.main(given)
    plan = Path(given[0]) if given else None
    if not _has_display():
        from guyline import command_line

        return command_line.do_without_window(plan)
    gc.disable()  # a start makes no garbage; the window collects its own (GarbageOnGuiThread)
    from guyline.widgets.application import open_window  # Qt only where a window opens

    return open_window(plan)


def _is_plan(argument: str) -> bool:
    return argument.endswith(PLAN_SUFFIX) or Path(argument).is_file()


def _has_display() -> bool:
    """Whether a window can open: always off Linux, and where somebody chose a platform."""
    if not sys.platform.startswith("linux"):
        return True
    return any(os.environ.get(n) for n in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"))


if __name__ == "__main__":
    sys.exit(main())
