from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from PySide6.QtGui import QGuiApplication

from guyline.core.plan import ChecklistItem, Gate, GateRecord, Link, Plan
from guyline.services.documents.box_labels import box_labels
from guyline.services.documents.comms_plan import comms_plan
from guyline.services.documents.content import CommsPlan
from guyline.services.documents.voice_brief import (
    FIGURES,
    LETTERS,
    spelled,
    spoken_position,
    voice_brief,
)
from guyline.viewmodels.paper.marks import Words
from guyline.viewmodels.paper.page_size import A4
from guyline.viewmodels.paper.pages import pages_of
from sheet_stories import BARE, assessed, full_plan, printing, sparse_plan
from stories import HALL, HILL, SHED


def comms_of(plan: Plan) -> CommsPlan:
    return comms_plan(plan, assessed(plan), printing(plan))


def test_the_channel_is_told_but_never_the_key() -> None:
    plan = full_plan()
    profile = replace(plan.radio_profile, channel_name="Flood one", key_identifier="K-07")
    fields = {f.label: f for f in comms_of(replace(plan, radio_profile=profile)).channel}
    assert fields["Channel"].value == "Flood one"
    assert fields["Receive and transmit"].value == "869.525 MHz"
    assert fields["Key"].value == "K-07"
    assert fields["Key"].note == "never the key itself"


def test_the_operational_period_ends_with_the_mission() -> None:
    # 3 June and 14 days: 17 June
    assert comms_of(full_plan()).period == "03 Jun 2026 to 17 Jun 2026"
    assert comms_of(sparse_plan()).period is None


def test_every_site_with_a_position_is_in_the_diagram_and_the_others_are_named() -> None:
    plan = sparse_plan()
    page = comms_of(plan)
    assert [node.site_id for node in page.nodes] == [HALL]
    assert page.unplaced == (BARE,)


def test_links_are_kept_too_weak_or_unknown_as_the_assessment_says() -> None:
    plan = full_plan()
    page = comms_of(plan)
    required = plan.radio_profile.required_margin_db
    for edge, known in zip(page.edges, assessed(plan).links, strict=True):
        assert edge.ends == (known.link.from_id, known.link.to_id)
        assert known.margin_db is not None
        assert edge.is_kept is (known.margin_db >= required)
    weak = replace(plan, radio_profile=replace(plan.radio_profile, required_margin_db=200.0))
    assert {edge.is_kept for edge in comms_of(weak).edges} == {False}
    assert [edge.is_kept for edge in comms_of(sparse_plan()).edges] == [None]


def test_a_station_lists_whom_it_should_hear() -> None:
    plan = full_plan()
    plan = replace(plan, links=(*plan.links, Link(from_id=HALL, to_id=SHED)))
    stations = {s.site_id: s for s in comms_of(plan).stations}
    assert set(stations[HILL].heard) == {HALL, SHED}
    assert set(stations[HALL].heard) == {HILL, SHED}


def test_contacts_stand_in_a_list_of_their_own_only() -> None:
    page = comms_of(full_plan())
    assert page.contacts == ((HILL, "The farmer", "Owner", "000-0201"),)
    without = replace(page, contacts=())
    assert "000-0201" not in repr(without)


def test_the_spelling_alphabet_is_complete() -> None:
    assert "".join(sorted(LETTERS)) == "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    assert "".join(FIGURES) == "0123456789"
    assert all(word.upper().startswith(letter) for letter, word in LETTERS.items())


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("HILL-2", "Hotel India Lima Lima dash two"),
        ("u04", "Uniform zero four"),
        ("Ö1", "Ö one"),
    ],
)
def test_identifiers_are_spelled_sign_by_sign(written: str, spoken: str) -> None:
    assert spelled(written) == spoken


def test_a_position_is_spoken_figure_by_figure() -> None:
    # 41.29 S, 174.80 E are 41°17.400'S 174°48.000'E (check value of the trade)
    assert spoken_position(-41.29, 174.80) == (
        "four one degrees one seven decimal four zero zero minutes south, "
        "one seven four degrees four eight decimal zero zero zero minutes east"
    )


def test_what_is_read_out_gives_back_the_same_place() -> None:
    plan = full_plan()
    page = voice_brief(plan, assessed(plan), printing(plan))
    back = {word: figure for figure, word in FIGURES.items()} | {"decimal": "."}
    for line, site in zip(page.sites, plan.sites, strict=True):
        assert site.position is not None
        spoken = line.line.split("osition ")[1].split(". Power")[0]
        found = []
        for angle in spoken.split(", "):
            degrees, minutes = angle.split(" degrees ")
            minutes, hemisphere = minutes.split(" minutes ")
            number = float("".join(back[w] for w in degrees.split()))
            number += float("".join(back[w] for w in minutes.split())) / 60.0
            found.append(-number if hemisphere in ("south", "west") else number)
        # a thousandth of a minute is 1.7e-5 degrees
        assert found == pytest.approx([site.position.lat_deg, site.position.lon_deg], abs=1e-5)


def test_a_site_without_position_says_so_by_voice() -> None:
    plan = sparse_plan()
    page = voice_brief(plan, assessed(plan), printing(plan))
    assert "Position unknown." in page.sites[1].line


def test_a_label_names_whom_to_ask_and_when_the_box_goes_away() -> None:
    plan = full_plan()
    plan = plan.with_site(replace(plan.site(HILL), gate_records=()))
    labels = {n.site_id: n for n in box_labels(plan, assessed(plan), printing(plan)).labels}
    assert labels[HILL].contact == "Desk two, 000-0101"
    assert labels[HILL].remove_by == "17 Jun 2026"  # end of the mission: 3 June and 14 days
    promised = GateRecord(gate=Gate.RECOVERY, owner="Crew two", due_on=date(2026, 6, 20))
    changed = plan.with_site(replace(plan.site(HILL), gate_records=(promised,)))
    again = {n.site_id: n for n in box_labels(changed, assessed(changed), printing(plan)).labels}
    assert again[HILL].remove_by == "20 Jun 2026"


def test_every_load_has_a_label_that_tells_its_mass_and_its_battery() -> None:
    plan = full_plan()
    kit = (
        ChecklistItem(name="Generator", mass_kg=31.0),
        ChecklistItem(name="Battery, charged"),
        ChecklistItem(name="Mast", mass_kg=9.0),
    )
    plan = plan.with_site(replace(plan.site(HILL), checklist=kit))
    page = box_labels(plan, assessed(plan), printing(plan))
    # the hill's battery: 400 Wh x 0.0105 kg/Wh = 4.2 kg
    assert [label.piece for label in page.labels if label.site_id == HILL] == [
        "Load 1 of 2, 31.0 kg, two persons carry",
        "Load 2 of 2, 13.2 kg, battery 400 Wh",
    ]


def test_a_label_of_a_bare_plan_leaves_blanks() -> None:
    plan = sparse_plan()
    label = box_labels(plan, assessed(plan), printing(plan)).labels[1]
    assert (label.contact, label.remove_by) == (None, None)
    assert label.purpose == "Emergency radio"


def test_net_control_is_told_at_which_voltage_of_which_site_to_act() -> None:
    plan = full_plan()
    hill = plan.site(HILL)
    assert hill.power.battery is not None
    battery = replace(hill.power.battery, low_voltage_disconnect_v=12.0, reconnect_v=12.9)
    plan = plan.with_site(replace(hill, power=replace(hill.power, battery=battery)))
    alarms = {line.lead: line.line for line in comms_of(plan).alarms}
    assert "12.9 V or less at HILL" in alarms["Battery"]
    assert {"Link", "Silence"} <= set(alarms)


def test_the_communications_plan_has_a_message_form_and_a_log(qapp: QGuiApplication) -> None:
    pages = pages_of(comms_of(full_plan()), A4)
    said = [
        " ".join(m.text for p in page.placed for m in p.block.marks if isinstance(m, Words))
        for page in pages
    ]
    (form,) = (words for words in said if "Message" in words)
    for word in ("emergency: life", "Reply", "Approved by", "Log", "what"):
        assert word in form
    assert any("May change settings" in words and "Keeps the keys" in words for words in said)
