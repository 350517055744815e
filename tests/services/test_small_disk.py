"""A real disk that is full, and a real medium that is read-only."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
OWN_MOUNTS = ["unshare", "-rm"]


def _can_mount() -> bool:
    if shutil.which(OWN_MOUNTS[0]) is None:
        return False
    tried = [*OWN_MOUNTS, "mount", "-t", "tmpfs", "-o", "size=64k", "none", "/mnt"]
    return subprocess.run(tried, capture_output=True).returncode == 0


@pytest.mark.skipif(not _can_mount(), reason="this system lets nobody mount a disk of their own")
def test_a_full_disk_and_a_read_only_medium_leave_the_plan_whole_and_say_so(
    tmp_path: Path,
) -> None:
    seen = json.loads(
        subprocess.check_output(
            [*OWN_MOUNTS, sys.executable, TESTS / "reference" / "small_disk.py", tmp_path],
            env={**os.environ, "PYTHONPATH": f"{TESTS.parent / 'app'}{os.pathsep}{TESTS}"},
        )
    )
    assert seen["sites saved"] > 5
    assert seen["file is what was saved"]
    assert seen["backups whole"]
    assert seen["left over"] == []
    (told,) = seen["full disk"]
    assert told.startswith("valley.plan.json cannot be written: the disk is full. Free some space")
    assert told.endswith("What was saved before is untouched.")
    assert seen["read-only can be looked at"]
    assert seen["read-only is told"]
    assert "read-only" in seen["read-only"]
