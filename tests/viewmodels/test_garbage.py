"""Python's garbage is collected on the GUI thread, never on the thread of a job."""

from __future__ import annotations

import gc
import threading
import weakref

from pytestqt.qtbot import QtBot

from guyline.viewmodels.garbage import GarbageOnGuiThread


class Knot:
    """Refers to itself, so that only the collector can free it."""

    def __init__(self) -> None:
        self.me = self


def test_a_thread_that_allocates_collects_nothing_and_the_gui_thread_does(qtbot: QtBot) -> None:
    was_enabled = gc.isenabled()
    garbage = GarbageOnGuiThread()
    try:
        knot = Knot()
        is_alive = weakref.ref(knot)
        del knot

        def allocate() -> None:
            keep = [[] for _ in range(50_000)]  # past every threshold of the automatic collector
            assert keep

        thread = threading.Thread(target=allocate)
        thread.start()
        thread.join()
        assert is_alive() is not None
        held = [[] for _ in range(5_000)]  # more than the first threshold, 700 by default
        garbage.collect_due()
        assert held
        assert is_alive() is None
    finally:
        garbage.give_back()
        if not was_enabled:
            gc.disable()
