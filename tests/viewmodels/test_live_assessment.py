"""The live assessment follows a stream of edits without starving what is shown."""

from __future__ import annotations

import threading
import time
from dataclasses import replace

from pytestqt.qtbot import QtBot

from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.job import Job
from guyline.viewmodels import live_assessment
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.live_assessment import LiveAssessment
from stories import HILL, three_sites


class SlowAssessor:
    """Takes its time, and looks for a cancel wish meanwhile."""

    def __init__(self, seconds: float) -> None:
        self.seconds = seconds
        self.begun = 0

    def assess(self, plan: Plan, job: Job) -> PlanAssessment:
        self.begun += 1
        end = time.monotonic() + self.seconds
        while time.monotonic() < end:
            job.check()
            time.sleep(0.005)
        return PlanAssessment(plan=plan, sites=(), links=(), network=NetworkAssessment())


def live_on(assessor: SlowAssessor) -> tuple[PlanDocument, LiveAssessment]:
    document = PlanDocument(three_sites())
    return document, LiveAssessment(document, assessor)  # type: ignore[arg-type]  # stands for it


def raise_antenna(document: PlanDocument, metres: float) -> None:
    site = replace(document.plan.site(HILL), antenna_agl_m=metres)
    document.edit(document.plan.with_site(site), "Drag", merge_key="drag")


def test_the_last_edit_is_what_is_shown_in_the_end(qtbot: QtBot) -> None:
    document, live = live_on(SlowAssessor(0.05))
    for metres in range(10):
        raise_antenna(document, float(metres))
    with qtbot.waitSignal(live.settled):
        pass
    assert live.current is not None
    assert live.current.plan is document.plan


def test_short_runs_are_shown_while_edits_keep_coming(qtbot: QtBot) -> None:
    document, live = live_on(SlowAssessor(0.05))
    shown: list[PlanAssessment] = []
    live.updated.connect(shown.append)
    for step in range(30):  # an edit each 20 ms: no run ends before the next edit
        raise_antenna(document, 5.0 + step)
        qtbot.wait(20)
    seen_while_dragging = len(shown)
    qtbot.waitUntil(lambda: not live.is_running)
    assert seen_while_dragging >= 3


def test_long_runs_are_cancelled_but_never_two_in_a_row(qtbot: QtBot, monkeypatch) -> None:  # type: ignore[no-untyped-def]
    monkeypatch.setattr(live_assessment, "PATIENCE_MS", 20)
    assessor = SlowAssessor(0.2)
    document, live = live_on(assessor)
    shown: list[PlanAssessment] = []
    live.updated.connect(shown.append)
    for step in range(40):
        raise_antenna(document, 5.0 + step)
        qtbot.wait(20)
    qtbot.waitUntil(lambda: not live.is_running)
    assert shown[-1].plan is document.plan
    assert assessor.begun > len(shown)  # some were cancelled
    assert len(shown) >= assessor.begun // 2 - 1  # and every other one was shown


def test_stopping_keeps_what_is_shown(qtbot: QtBot) -> None:
    document, live = live_on(SlowAssessor(0.01))
    with qtbot.waitSignal(live.settled):
        live.refresh()
    before = live.current
    live.use(SlowAssessor(30.0))  # type: ignore[arg-type]  # stands for it
    raise_antenna(document, 3.0)
    with qtbot.waitSignal(live.settled):
        live.cancel()
    assert before is not None
    assert live.current is None  # other terrain: what was known before is void


def test_results_of_other_terrain_are_not_shown(qtbot: QtBot) -> None:
    document, live = live_on(SlowAssessor(0.1))
    live.refresh()
    with qtbot.waitSignal(live.settled):
        live.use(SlowAssessor(0.01))  # type: ignore[arg-type]  # stands for it
    assert document.plan is live.current.plan  # type: ignore[union-attr]


def test_signals_arrive_on_the_thread_of_the_window(qtbot: QtBot) -> None:
    _, live = live_on(SlowAssessor(0.01))
    threads: list[int] = []
    live.updated.connect(lambda assessment: threads.append(threading.get_ident()))
    with qtbot.waitSignal(live.settled):
        live.refresh()
    assert threads == [threading.get_ident()]
