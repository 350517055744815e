from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from guyline.services.documents.imprint import Printing, imprint
from sheet_stories import full_plan

AT = datetime(2026, 11, 25, 7, 14, tzinfo=UTC)
PRINTING = Printing(at=AT, plan_name="flood.plan.json", revision="0123abcd")


@pytest.mark.parametrize(
    ("zone", "written"),
    [
        # worked by hand; the signs of the Etc zones are turned round by POSIX
        ("Etc/GMT+9", "24 Nov 2026 22:14 local (UTC-09:00), 25 Nov 07:14 UTC"),
        ("Etc/GMT-5", "25 Nov 2026 12:14 local (UTC+05:00), 25 Nov 07:14 UTC"),
        ("UTC", "25 Nov 2026 07:14 UTC, which is local time"),
        ("Nowhere/At_All", "25 Nov 2026 07:14 UTC, which is local time"),
    ],
)
def test_the_time_of_printing_is_local_and_utc(zone: str, written: str) -> None:
    plan = full_plan()
    plan = replace(plan, incident=replace(plan.incident, time_zone=zone))
    assert imprint(plan, PRINTING).printed == written


def test_file_revision_and_planner_are_named() -> None:
    found = imprint(full_plan(), PRINTING)
    assert found.plan_name == "flood.plan.json"
    assert found.revision == "0123abcd"
    assert found.planner == "Desk two, 000-0101"
