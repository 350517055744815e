"""Incident command gets its tables: fields by FEMA 502-2, ICS Forms Booklet (2010)."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path

import pytest

import stories
from guyline.core.plan import Contact, Plan
from guyline.errors import InputError
from guyline.services.comms_forms import SENSITIVE, comms_forms, csv_of_form, write_comms_forms

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def story() -> Plan:
    plan = stories.three_sites()
    site = replace(
        plan.sites[0],
        contacts=(
            Contact(name="Warden", role="warden", phone="555 0123"),
            Contact(name="=Baker()", role="deputy"),
        ),
    )
    return replace(
        plan.with_site(site),
        incident=replace(
            plan.incident, name="River flood", start_on=date(2026, 11, 26), mission_days=14,
            planner="Planner", planner_phone="555 0100", net_control="Control",
        ),
        radio_profile=replace(
            plan.radio_profile, frequency_hz=869_525_000.0, bandwidth_hz=125_000.0,
            channel_name="VALLEY", key_identifier="K-17",
        ),
    )  # fmt: skip


def tables(plan: Plan) -> dict[str, list[list[str]]]:
    return {
        form.key: list(csv.reader(io.StringIO(csv_of_form(form).decode("utf-8-sig"))))
        for form in comms_forms(plan, NOW)
    }


def rows_below(table: list[list[str]], head: str) -> list[dict[str, str]]:
    at = next(n for n, row in enumerate(table) if head in row)
    rows = table[at + 1 :]
    end = next(n for n, row in enumerate(rows) if not row)
    return [dict(zip(table[at], row, strict=True)) for row in rows[:end]]


def test_the_radio_plan_has_the_fields_of_ics_205() -> None:
    table = tables(story())["ICS 205"]
    blocks = {row[0]: row[1] for row in table if len(row) == 2}
    assert blocks["Incident name"] == "River flood"
    assert blocks["Date/time prepared"] == "2026-11-25 09:30 UTC"
    assert blocks["Operational period from"] == "2026-11-26"
    assert blocks["Operational period to"] == "2026-12-10"  # 14 days later, rederived
    assert blocks["Prepared by"] == "Planner"
    assert "regulator" in blocks["Special instructions"]
    (channel,) = rows_below(table, "Ch #")
    assert channel["Channel name/talkgroup"] == "VALLEY"
    assert channel["RX freq (MHz)"] == channel["TX freq (MHz)"] == "869.5250"
    assert channel["RX N/W (kHz)"] == "125"
    assert channel["RX tone/NAC"] == "key K-17"
    assert channel["Mode (A/D/M)"] == "D"
    assert "spreading factor" in channel["Remarks"]


def test_the_communications_list_is_alphabetical_and_marked_where_it_holds_numbers() -> None:
    table = tables(story())["ICS 205A"]
    people = rows_below(table, "Assigned position")
    assert [row["Name"] for row in people] == ["'=Baker()", "Control", "Planner", "Warden"]
    assert people[3]["Method(s) of contact"].startswith("555 0123")
    assert ["Note", SENSITIVE] in table
    assert all(SENSITIVE not in row for row in tables(stories.three_sites())["ICS 205A"])


def test_the_worksheet_of_resources_has_the_fields_of_ics_217a() -> None:
    table = tables(story())["ICS 217A"]
    assert ["Frequency band", "870 MHz"] in table
    (channel,) = rows_below(table, "Channel configuration")
    assert channel["Eligible users/assignments"] == "sites of this plan"
    assert channel["Channel name/talkgroup"] == "VALLEY"


def test_the_forms_are_written_beside_each_other(tmp_path: Path) -> None:
    written = write_comms_forms(story(), tmp_path / "flood.csv", NOW)
    names = ["flood ICS 205.csv", "flood ICS 205A.csv", "flood ICS 217A.csv"]
    assert [path.name for path in written] == names
    assert sorted(path.name for path in tmp_path.iterdir()) == names


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no name of a table"):
        write_comms_forms(story(), tmp_path / "flood.pdf", NOW)
