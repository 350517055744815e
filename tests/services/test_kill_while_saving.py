from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
TIMES = 200


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")
def test_a_kill_at_any_moment_leaves_plan_backups_and_journal_whole(tmp_path: Path) -> None:
    counted = json.loads(
        subprocess.check_output(
            [sys.executable, TESTS / "reference" / "kill_writer.py", tmp_path, str(TIMES)],
            env={**os.environ, "PYTHONPATH": f"{TESTS.parent / 'app'}{os.pathsep}{TESTS}"},
        )
    )
    assert counted["killed"] == TIMES
    assert counted["plan whole"] == TIMES
    assert counted["backups whole"] == TIMES
    assert counted["journals whole"] == counted["journals found"] > 0
    assert counted["in the middle of writing"] > 0
