"""The gates of readiness, and what people answer where nothing can be computed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from guyline.core.plan.facts import Fact


class Gate(StrEnum):
    """What must be right before a crew goes out; every finding belongs to one."""

    NEED = "need"
    PERMISSION = "permission and access"
    SAFETY = "safety and crew"
    RADIO = "radio"
    RULES = "radio rules"
    POWER = "power"
    KIT = "kit"
    BENCH_TEST = "bench test"
    NETWORK = "network effect"
    RECOVERY = "recovery"


ASKED = (Gate.NEED, Gate.SAFETY, Gate.BENCH_TEST, Gate.RECOVERY)
"""Gates that only people can answer; the others are computed from the plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GateRecord:
    """What people say of a gate at a site: an answer with evidence, or who mends what by when.

    For a gate of `ASKED`, `answer` opens it. For any gate, `owner` and `due_on` take charge
    of its conditions: a condition that nobody owns is as good as unknown.
    """

    gate: Gate
    answer: Fact = Fact.UNKNOWN
    evidence: str = ""
    answered_by: str = ""
    answered_on: date | None = None
    expires_on: date | None = None
    owner: str = ""
    due_on: date | None = None
