"""The same work without a window: check, profile, power, sheet, coverage, files in and out."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

from guyline.command_line.parser import parser_of_commands
from guyline.command_line.printing import ALL_GO, CANNOT_READ, NOT_ALL_GO, refuse
from guyline.errors import GuylineError

__all__ = ["ALL_GO", "CANNOT_READ", "NOT_ALL_GO", "do_without_window", "main"]


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit status."""
    parsed = parser_of_commands().parse_args([_no_option(argument) for argument in arguments])
    run: Callable[[argparse.Namespace], int] = parsed.run
    try:
        return run(parsed)
    except GuylineError as error:
        return refuse(error)
    except BrokenPipeError:  # whoever reads has seen enough, as in "guyline check PLAN | head"
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOT_ALL_GO


def _no_option(argument: str) -> str:
    """A southern LAT,LON begins with a minus sign; a blank keeps it from being an option."""
    return f" {argument}" if argument[:1] == "-" and argument[1:2].isdigit() else argument


def do_without_window(plan: Path | None) -> int:
    """Do the main job where no window can open, and return the exit status."""
    from guyline.command_line import judging

    return judging.do_without_window(plan)
