"""Speed of strictly read and checked plan files against JSON that nobody checks."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

import pytest

import stories
from guyline.core.plan import Plan, SiteId
from guyline.services.plan_files import plan_from_bytes, plan_to_bytes

pytestmark = pytest.mark.benchmark


def best_seconds(work: Callable[[], object], repeats: int = 3) -> float:
    spent = []
    for _ in range(repeats):
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return min(spent)


def plan_of_500_sites() -> Plan:
    site = stories.three_sites().sites[0]
    names = [SiteId(f"S{n}") for n in range(500)]
    return replace(
        stories.three_sites(),
        sites=tuple(replace(site, site_id=name) for name in names),
        links=(),
        needs=(),
    )


def test_reading_with_all_checks_costs_a_few_times_reading_without(
    record_property: Callable[[str, object], None],
) -> None:
    data = plan_to_bytes(plan_of_500_sites())
    checked = best_seconds(lambda: plan_from_bytes(data))
    plain = best_seconds(lambda: json.loads(data))
    record_property("ratio", round(checked / plain, 1))
    assert checked / plain < 15


def test_writing_with_all_checks_costs_no_more_than_a_few_times_writing_without(
    record_property: Callable[[str, object], None],
) -> None:
    plan = plan_of_500_sites()
    raw = json.loads(plan_to_bytes(plan))
    checked = best_seconds(lambda: plan_to_bytes(plan))
    plain = best_seconds(lambda: json.dumps(raw, indent=2))
    record_property("ratio", round(checked / plain, 1))
    assert checked / plain < 4
