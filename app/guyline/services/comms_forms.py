"""The communications plan as the tables that incident command works with.

Fields of ICS 205, 205A and 217A as FEMA 502-2, ICS Forms Booklet (2010), lists them. A chirp
network is one channel: receive and transmit frequency are the same, "N/W" is the occupied
bandwidth, the mode is digital, and the key is named, never told (mapping: our choice).
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from guyline.core.plan import Incident, Plan, Site
from guyline.errors import InputError
from guyline.services.interchange.csv_table import defused
from guyline.services.interchange.place import clean
from guyline.services.whole_files import write_whole

SENSITIVE = "SENSITIVE: holds telephone numbers"
_MODE = "D"  # digital
_CHANNEL_HEADS = (
    "Channel name/talkgroup", "RX freq (MHz)", "RX N/W (kHz)", "RX tone/NAC", "TX freq (MHz)",
    "TX N/W (kHz)", "TX tone/NAC", "Mode (A/D/M)", "Remarks",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class CommsForm:
    """One form as a table; `head` are its named blocks above, `foot` those below."""

    key: str
    title: str
    head: tuple[tuple[str, str], ...]
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    foot: tuple[tuple[str, str], ...]


def comms_forms(plan: Plan, prepared_at: datetime) -> tuple[CommsForm, ...]:
    """Return the radio plan, the communications list and the worksheet of resources."""
    return (
        _radio_plan(plan, prepared_at),
        _communications_list(plan, prepared_at),
        _resources(plan, prepared_at),
    )


def csv_of_form(form: CommsForm) -> bytes:
    """Return a form as a table for spreadsheets; no cell of it is a formula."""
    text = io.StringIO()
    writer = csv.writer(text, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    lines: Sequence[Sequence[str]] = (
        (form.title,), *form.head, (), form.columns, *form.rows, (), *form.foot,
    )  # fmt: skip
    for line in lines:
        writer.writerow([defused(clean(cell)) for cell in line])
    return text.getvalue().encode("utf-8-sig")


def write_comms_forms(plan: Plan, out: Path, prepared_at: datetime) -> tuple[Path, ...]:
    """Write each form beside `out`, whose name they carry with the number of the form.

    Raises
    ------
    InputError
        The name does not end in .csv.
    PlanFileError
        A file cannot be written.
    """
    if out.suffix.lower() != ".csv":
        raise InputError(f"{out.name} is no name of a table.", advice="End the name in .csv.")
    written = []
    for form in comms_forms(plan, prepared_at):
        path = out.with_name(f"{out.stem} {form.key}{out.suffix}")
        write_whole(path, csv_of_form(form))
        written.append(path)
    return tuple(written)


def _radio_plan(plan: Plan, prepared_at: datetime) -> CommsForm:
    return CommsForm(
        key="ICS 205",
        title="Incident radio communications plan (ICS 205)",
        head=_head(plan.incident, prepared_at),
        columns=("Zone/Grp", "Ch #", "Function", *_CHANNEL_HEADS[:1], "Assignment",
                 *_CHANNEL_HEADS[1:]),
        rows=(("", "1", "Data", _channel_name(plan), "all sites", *_channel(plan)),),
        foot=(("Special instructions", _instructions(plan)), *_foot(plan.incident)),
    )  # fmt: skip


def _communications_list(plan: Plan, prepared_at: datetime) -> CommsForm:
    people = [row for site in plan.sites for row in _people(site)]
    incident = plan.incident
    staff = (
        ("planner", incident.planner, incident.planner_phone),
        ("net control", incident.net_control, ""),
    )
    rows = sorted([*people, *(row for row in staff if row[1])], key=lambda row: row[1].casefold())
    is_sensitive = any(row[2] for row in rows)
    note = (("Note", SENSITIVE),) if is_sensitive else ()
    return CommsForm(
        key="ICS 205A",
        title="Communications list (ICS 205A)",
        head=(*_head(incident, prepared_at), *note),
        columns=("Assigned position", "Name", "Method(s) of contact"),
        rows=tuple(rows),
        foot=_foot(incident),
    )


def _resources(plan: Plan, prepared_at: datetime) -> CommsForm:
    megahertz = plan.radio_profile.frequency_hz / 1e6
    return CommsForm(
        key="ICS 217A",
        title="Communications resource availability worksheet (ICS 217A)",
        head=(
            *_head(plan.incident, prepared_at),
            ("Frequency band", f"{megahertz:.0f} MHz"),
            ("Description", "chirp-spread-spectrum data network"),
        ),
        columns=("Channel configuration", _CHANNEL_HEADS[0], "Eligible users/assignments",
                 *_CHANNEL_HEADS[1:]),
        rows=(("simplex, relayed", _channel_name(plan), "sites of this plan", *_channel(plan)),),
        foot=_foot(plan.incident),
    )  # fmt: skip


def _people(site: Site) -> list[tuple[str, str, str]]:
    named = f"{site.site_id} {site.name}".strip()
    radio = f"radio {site.radio.identifier}" if site.radio.identifier else ""
    return [
        (
            f"{named}, {contact.role}" if contact.role else named,
            contact.name,
            "; ".join(way for way in (contact.phone, radio) if way),
        )
        for contact in site.contacts
    ]


def _channel_name(plan: Plan) -> str:
    return plan.radio_profile.channel_name or "not named yet"


def _channel(plan: Plan) -> tuple[str, ...]:
    profile = plan.radio_profile
    one_way = (
        f"{profile.frequency_hz / 1e6:.4f}",
        f"{profile.bandwidth_hz / 1e3:g}",
        f"key {profile.key_identifier}" if profile.key_identifier else "",
    )
    return (*one_way, *one_way, _MODE, _remarks(plan))


def _remarks(plan: Plan) -> str:
    profile, rule = plan.radio_profile, plan.radio_rule
    told = [f"spreading factor {profile.spreading_factor}, coding rate 4/{profile.coding_rate}"]
    if profile.hop_limit is not None:
        told.append(f"hop limit {profile.hop_limit}")
    if rule is not None:
        told.append(f"{rule.name}: at most {rule.limit_dbm:g} dBm {rule.limit_kind}")
        if rule.duty_fraction is not None:
            told.append(f"duty cycle {100 * rule.duty_fraction:g} %")
    return "; ".join(told)


def _instructions(plan: Plan) -> str:
    told = "Keys are named here and handed over by hand. Limits as entered: confirm with your"
    return f"{told} regulator." if plan.radio_rule is not None else f"{told} regulator first."


def _head(incident: Incident, prepared_at: datetime) -> tuple[tuple[str, str], ...]:
    return (
        ("Incident name", incident.name),
        ("Date/time prepared", f"{prepared_at:%Y-%m-%d %H:%M %Z}".strip()),
        ("Operational period from", _day(incident, 0)),
        ("Operational period to", _day(incident, incident.mission_days)),
    )


def _day(incident: Incident, after_days: int | None) -> str:
    if incident.start_on is None or after_days is None:
        return ""
    return (incident.start_on + timedelta(days=after_days)).isoformat()


def _foot(incident: Incident) -> tuple[tuple[str, str], ...]:
    return (("Prepared by", incident.planner), ("Signature", ""))
