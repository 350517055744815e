"""Files in and out of a plan, and what changed between two."""

from __future__ import annotations

import argparse
from datetime import datetime

from guyline.services.comms_forms import write_comms_forms
from guyline.services.plan_changes import changes_by_owner
from guyline.services.plan_exchange import (
    earlier_copy,
    export_places,
    import_places,
    report_lines,
    share_plan_file,
)
from guyline.services.plan_files import load_plan
from guyline.services.wording import counted


def take_in(parsed: argparse.Namespace) -> int:
    """Take the places of a file into a plan."""
    imported = import_places(parsed.plan, parsed.file, parsed.out)
    print(*report_lines(imported), imported.path.resolve(), sep="\n")
    return 0


def export(parsed: argparse.Namespace) -> int:
    """Write the sites for maps and receivers."""
    written = export_places(load_plan(parsed.plan), parsed.out)
    print(f"{counted(written, 'site')} to {parsed.out.resolve()}")
    return 0


def comms(parsed: argparse.Namespace) -> int:
    """Write the communications plan as the tables of incident command."""
    now = datetime.now().astimezone()
    for path in write_comms_forms(load_plan(parsed.plan), parsed.out, now):
        print(path.resolve())
    return 0


def share(parsed: argparse.Namespace) -> int:
    """Write a copy of a plan to give away."""
    share_plan_file(parsed.plan, parsed.out)
    print(parsed.out.resolve())
    return 0


def changes(parsed: argparse.Namespace) -> int:
    """Print what changed since an earlier copy."""
    earlier = earlier_copy(parsed.plan) if parsed.earlier is None else parsed.earlier
    found = changes_by_owner(load_plan(earlier), load_plan(parsed.plan))
    print(f"{counted(sum(map(len, found.values())), 'change')} since {earlier.name}.")
    for owner, changed in found.items():
        print(f"\n{owner}")
        for change in changed:
            values = " → ".join(value for value in (change.was, change.now) if value)
            print(f"  {change.subject}: {values}")
    return 0
