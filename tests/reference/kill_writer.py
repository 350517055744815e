"""Kills a process that saves a plan, again and again, and looks at what is left each time.

Usage: python kill_writer.py FOLDER TIMES. Prints what was counted, as JSON.
Each child opens the plan (and so takes over the lock of the one killed before), then edits,
journals and saves without end until SIGKILL meets it at a moment nobody chose.
"""

from __future__ import annotations

import json
import os
import random
import signal
import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

import stories
from guyline.services.backups import backups_of
from guyline.services.plan_files import load_plan, save_plan
from guyline.services.plan_keeping import PlanKeeper
from guyline.services.recovery import unsaved_copy

PLANS = [replace(stories.three_sites(), earth_k=k) for k in (1.0, 1.25, 1.5, 2.0)]


def save_without_end(path: Path, state: Path) -> None:
    keeper = PlanKeeper(path, state_folder=state)
    keeper.load()
    if keeper.is_read_only:
        os._exit(3)
    while True:
        for plan in PLANS:
            keeper.journal(plan)
            keeper.save(plan)


def main(folder: Path, times: int) -> Counter[str]:
    path, state = folder / "valley.plan.json", folder / "state"
    save_plan(PLANS[0], path)
    counted: Counter[str] = Counter()
    chance = random.Random(1)
    for _ in range(times):
        parts = set(folder.glob("**/.*.part"))
        child = os.fork()
        if child == 0:
            save_without_end(path, state)
        time.sleep(chance.uniform(0.005, 0.06))
        os.kill(child, signal.SIGKILL)
        status = os.waitpid(child, 0)[1]
        counted["killed"] += os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL
        counted["in the middle of writing"] += bool(set(folder.glob("**/.*.part")) - parts)
        counted["plan whole"] += load_plan(path) in PLANS
        counted["backups whole"] += all(load_plan(b) in PLANS for b in backups_of(path))
        unsaved = unsaved_copy(path, state)
        counted["journals found"] += unsaved is not None
        counted["journals whole"] += unsaved is not None and unsaved.plan() in PLANS
        if unsaved is not None:
            unsaved.discard()
    return counted


if __name__ == "__main__":
    print(json.dumps(main(Path(sys.argv[1]), int(sys.argv[2]))))  # noqa: T201 - its answer
