"""Saves a plan on a small disk until it is full, then on the same disk made read-only.

Usage: python small_disk.py FOLDER, as root of a mount namespace: FOLDER becomes that disk.
Prints what was seen, as JSON.
"""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import stories
from guyline.errors import PlanFileError
from guyline.services.backups import backups_of
from guyline.services.plan_files import load_plan, save_plan
from guyline.services.plan_keeping import PlanKeeper

SIZE = "512k"
NOTES = "x" * 9_000


def main(folder: Path) -> dict[str, object]:
    subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={SIZE}", "none", folder], check=True)
    disk = folder / "stick"
    disk.mkdir()
    path = disk / "valley.plan.json"
    save_plan(stories.three_sites(), path)
    keeper = PlanKeeper(path, state_folder=folder / "state")
    plan = saved = keeper.load()
    told: list[str] = []
    for n in range(200):  # each plan is 9 kB longer than the one before
        plan = replace(plan, sites=(*plan.sites, _long_site(n)))
        try:
            keeper.save(plan)
        except PlanFileError as error:
            told.append(f"{error} {error.advice}")
            break
        saved = plan
    full = {
        "sites saved": len(saved.sites),
        "file is what was saved": load_plan(path) == saved,
        "backups whole": all(load_plan(backup).sites for backup in backups_of(path)),
        "left over": sorted(file.name for file in disk.glob(".*.part")),
        "full disk": told,
    }
    keeper.close()
    subprocess.run(["mount", "-o", "remount,ro", folder], check=True)
    looking = PlanKeeper(path, state_folder=folder / "state")
    shown = looking.load()
    try:
        looking.save(plan)
        refused = ""
    except PlanFileError as error:
        refused = f"{error} {error.advice}"
    return full | {
        "read-only can be looked at": shown == saved,
        "read-only is told": looking.is_read_only,
        "read-only": refused,
    }


def _long_site(n: int) -> stories.Site:
    return replace(stories.three_sites().sites[0], site_id=f"S{n}", notes=NOTES)


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]))))  # noqa: T201 - its answer
