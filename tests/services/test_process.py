from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

import pytest

from guyline.services.process import ProcessMark


def test_this_process_runs_and_its_mark_can_be_written_and_read() -> None:
    mark = ProcessMark.of_this_process()
    assert mark.pid == os.getpid()
    assert mark.may_run
    assert ProcessMark.from_raw(mark.as_raw()) == mark


def test_a_process_that_has_ended_does_not_run() -> None:
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    assert not replace(ProcessMark.of_this_process(), pid=ended.pid).may_run


@pytest.mark.parametrize("pid", [0, -1])
def test_a_number_that_no_process_has_does_not_run(pid: int) -> None:
    assert not replace(ProcessMark.of_this_process(), pid=pid).may_run


@pytest.mark.skipif(not os.path.exists("/proc/self/stat"), reason="starts are told in /proc only")
def test_a_later_process_of_the_same_number_is_another_one() -> None:
    assert not replace(ProcessMark.of_this_process(), started="1").may_run


def test_of_another_machine_nobody_can_tell() -> None:
    assert ProcessMark(1, "no-such-machine", "").may_run
