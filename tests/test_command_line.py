"""The commands of `guyline`, on the demo plan and on plans that cannot be read."""

from __future__ import annotations

import json
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

import guyline
from guyline import __main__, command_line
from guyline.core.plan import SiteId
from guyline.services import opening
from guyline.services.opening import demo_copy
from guyline.services.plan_files import load_plan, save_plan
from stories import READ_THERE, DrawnTerrain, three_sites


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_copy(tmp_path_factory.mktemp("demo"))


def run_json(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, dict]:
    status = command_line.main(arguments)
    return status, json.loads(capsys.readouterr().out)


def test_check_gives_every_site_a_verdict_with_its_findings(demo, capsys):
    status, content = run_json(capsys, "check", str(demo), "--json")
    assert status == command_line.NOT_ALL_GO
    assert {site["verdict"] for site in content["sites"]} == {
        "GO",
        "GO WITH CONDITIONS",
        "NO-GO",
        "NOT ASSESSED",
    }
    for site in content["sites"]:
        assert len(site["gates"]) == 10
        for finding in site["findings"]:
            assert {"code", "verdict", "message", "value", "limit", "remedy"} <= finding.keys()
            assert (finding["remedy"] is None) <= (finding["verdict"] == "GO")
    network = content["network"]
    assert network["needs_met"] == sum(need["met"] for need in network["needs"])


def test_check_in_words_says_what_stands_in_the_way(demo, capsys):
    command_line.main(["check", str(demo)])
    out = capsys.readouterr().out
    assert out.startswith("If we go today:")
    assert "HOLLOW  Hollowmead school: NO-GO" in out
    assert "-> " in out


def test_check_of_a_plan_without_terrain_is_not_go(tmp_path, capsys):
    plan = tmp_path / "bare.plan.json"
    save_plan(three_sites(), plan)
    status, content = run_json(capsys, "check", str(plan), "--json")
    assert status == command_line.NOT_ALL_GO
    assert all(site["verdict"] == "NOT ASSESSED" for site in content["sites"])


@pytest.mark.parametrize("content", ["", "{", '{"format": 999}', "[]"])
def test_a_file_that_is_no_plan_ends_with_status_2_and_a_sentence(tmp_path, capsys, content):
    path = tmp_path / "broken.plan.json"
    path.write_text(content)
    assert command_line.main(["check", str(path), "--json"]) == command_line.CANNOT_READ
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith("guyline: ")
    assert path.read_text() == content


def test_a_missing_file_ends_with_status_2(tmp_path, capsys):
    missing = tmp_path / "none.plan.json"
    assert command_line.main(["power", str(missing)]) == command_line.CANNOT_READ
    assert "none.plan.json" in capsys.readouterr().err


def test_profile_between_sites_is_the_link_of_the_plan(demo, capsys):
    status, there = run_json(capsys, "profile", str(demo), "TOWN", "KITE", "--json")
    assert status == 0
    _, back = run_json(capsys, "profile", str(demo), "KITE", "TOWN", "--json")
    assert there["loss_db"] == pytest.approx(back["loss_db"], abs=0.05)
    assert there["azimuth_deg"] == back["back_azimuth_deg"]
    assert there["loss_db"] == pytest.approx(
        there["free_space_db"] + there["diffraction_db"], abs=0.002
    )
    assert len(there["profile"]["distance_m"]) == len(there["profile"]["ground_amsl_m"]) > 100


def test_profile_to_a_bare_point_takes_latitude_and_longitude(demo, capsys):
    place = load_plan(demo).site(SiteId("TOWN")).position
    assert place is not None
    point = f"{place.lat_deg + 0.01},{place.lon_deg}"
    status, content = run_json(
        capsys, "profile", str(demo), "TOWN", point, "--antenna", "5", "--json"
    )
    assert status == 0
    assert content["distance_m"] == pytest.approx(1111.0, abs=3.0)  # 0.01 degrees of latitude


@pytest.mark.parametrize("end", ["NOWHERE", "95,0", "1;2", "nan,nan"])
def test_an_end_that_is_no_place_is_refused_with_the_sites_there_are(demo, capsys, end):
    assert command_line.main(["profile", str(demo), "TOWN", end]) == command_line.CANNOT_READ
    assert "guyline: " in capsys.readouterr().err


def test_power_gives_null_where_something_is_unknown(demo, capsys):
    status, content = run_json(capsys, "power", str(demo), "--json")
    assert status == 0
    sites = {site["identifier"]: site for site in content["sites"]}
    keys = {
        "days_without_sun",
        "survival_probability",
        "loss_of_load_probability",
        "shortfall_wh_per_day",
        "cures",
    }
    assert all(keys <= site.keys() for site in sites.values())
    assert sites["STELL"]["shortfall_wh_per_day"] is None
    assert sites["SKARN"]["shortfall_wh_per_day"] > 0
    assert sites["SKARN"]["lacks_power"] is True


def test_sheet_writes_a_page_or_two_for_the_wanted_site_only(demo, tmp_path, capsys, qapp):
    out = tmp_path / "kite.pdf"
    assert command_line.main(["sheet", str(demo), "--out", str(out), "--site", "KITE"]) == 0
    assert capsys.readouterr().out.strip() == str(out)
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(out).pages]
    assert "KITE" in pages[0]
    assert not any("HOLLOW Hollowmead school NO-GO" in page for page in pages)


def test_sheet_of_a_site_that_is_not_there_is_refused(demo, tmp_path, capsys):
    out = tmp_path / "none.pdf"
    status = command_line.main(["sheet", str(demo), "--out", str(out), "--site", "NOWHERE"])
    assert status == command_line.CANNOT_READ
    assert not out.exists()


def test_where_there_is_no_display_the_main_job_is_done_without_a_window(tmp_path):
    script = "import sys; from guyline.__main__ import main; sys.exit(main([]))"
    app = str(Path(guyline.__file__).parents[1])
    result = subprocess.run(
        [sys.executable, "-c", script],
        cwd=tmp_path,
        env={"PYTHONPATH": app, "HOME": str(tmp_path), "PATH": "/usr/bin:/bin"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert result.returncode == command_line.NOT_ALL_GO, result.stderr
    assert result.stdout.startswith("There is no display")
    assert "If we go today:" in result.stdout
    printed = Path(result.stdout.strip().rsplit("Site sheets: ", 1)[1])
    assert printed.read_bytes().startswith(b"%PDF-")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="only Linux may lack a display")
def test_a_chosen_qt_platform_counts_as_a_display(monkeypatch):
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM"):
        monkeypatch.delenv(name, raising=False)
    assert not __main__._has_display()
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    assert __main__._has_display()


def test_everything_go_ends_with_status_0(tmp_path, capsys, monkeypatch):

    monkeypatch.setattr(opening.Terrain, "open", lambda sources, base: DrawnTerrain())
    plan = tmp_path / "good.plan.json"
    save_plan(three_sites(), plan)
    assert command_line.main(["check", str(plan)]) == command_line.ALL_GO
    assert "Every site is GO." in capsys.readouterr().out


def test_check_tells_who_still_reaches_whom_on_each_day(demo, capsys):
    _, content = run_json(capsys, "check", str(demo), "--json")
    network = content["network"]
    mission_days = load_plan(demo).incident.mission_days
    assert [day["day"] for day in network["days"]] == list(range(mission_days))
    ready = {
        site["identifier"]
        for site in content["sites"]
        if site["verdict"] in ("GO", "GO WITH CONDITIONS")
    }
    for day in network["days"]:
        assert set(day["up"]) <= ready - set(network["power_unknown"])
        assert set(day["cut_off"]) <= set(day["up"])
        assert day["needs_met"] + len(day["needs_unmet"]) == len(network["needs"])
    gates = content["sites"][0]["gates"]
    assert {gate["fresh_days"] for gate in gates} == {None, 14, 60, 180}


def test_check_tells_kit_and_settings_over_all_sites(demo, capsys):
    _, content = run_json(capsys, "check", str(demo), "--json")
    plan = load_plan(demo)
    needed = sum(item.quantity for site in plan.sites for item in site.checklist)
    assert sum(line["needed"] for line in content["kit"]) == needed
    proof = content["configuration"]
    judged = (*proof["as_planned"], *proof["differing"], *proof["not_read_back"])
    assert sorted(judged) == sorted(site.site_id for site in plan.sites)
    assert proof["is_proven"] is False  # nobody has read the radio of STELL
    assert [check["number"] for check in content["checks"]] == list(range(1, 31))
    assert all(c["computed_by"] or c["question"] or c["elsewhere"] for c in content["checks"])


def test_check_can_tell_the_smallest_set_of_mendings_for_a_site(demo, capsys):
    _, content = run_json(capsys, "check", str(demo), "--mend", "CRANE", "--json")
    mending = content["mending"]
    assert mending["site"] == "CRANE"
    assert mending["reached"] == "GO WITH CONDITIONS"
    assert {step["code"] for step in mending["steps"]} == {
        "permission",
        "cold-charging",
        "key-holder",
    }
    assert {finding["code"] for finding in mending["left"]} == {"link-clearance"}
    command_line.main(["check", str(demo), "--mend", "CRANE"])
    assert "CRANE would be GO WITH CONDITIONS after 3 mendings:" in capsys.readouterr().out
    assert command_line.main(["check", str(demo), "--mend", "NOWHERE"]) == 2
    assert "no site NOWHERE" in capsys.readouterr().err


def test_a_reader_that_stops_reading_is_no_fault(demo):
    app = str(Path(guyline.__file__).parents[1])
    call = f"'{sys.executable}' -m guyline check '{demo}' | head -n 1"
    result = subprocess.run(
        ["/bin/sh", "-c", call],
        env={"PYTHONPATH": app, "PATH": "/usr/bin:/bin", "HOME": str(demo.parent)},
        capture_output=True,
        text=True,
        check=True,
    )
    assert result.stdout.startswith("If we go today:")
    assert result.stderr == ""


def test_readings_are_printed_against_the_plan_and_as_json(tmp_path, capsys):
    path = tmp_path / "read.plan.json"
    plan = three_sites()
    save_plan(replace(plan, readings=(READ_THERE,)), path)
    assert command_line.main(["readings", str(path)]) == 0
    out = capsys.readouterr().out
    ways = 2 * len(plan.links)
    assert out.startswith(f"1 of {ways} directions read.")
    assert "HILL from HALL: planned unknown, read -90 dBm; SNR 9 dB, 20 of 20 packets" in out
    assert command_line.main(["readings", str(path), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert len(answer["directions"]) == ways
    read = [d for d in answer["directions"] if d["level_dbm"] is not None]
    assert [(d["talker"], d["listener"], d["level_dbm"]) for d in read] == [("HALL", "HILL", -90)]
    assert read[0]["planned_dbm"] is None  # the plan has no terrain
    assert answer["agreement"] is None
