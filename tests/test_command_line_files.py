"""The commands that bring places in and out: import, export, share."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from guyline import command_line
from guyline.core.plan import Contact, Plan, SiteId, TerrainSource
from guyline.services.backups import backup_path
from guyline.services.interchange import FORMATS, read_places
from guyline.services.opening import demo_copy
from guyline.services.plan_files import load_plan, save_plan
from guyline.services.plan_lock import PlanLock
from stories import HALL, HILL, complete_site, three_sites

WRITTEN = [ending for ending, kind in FORMATS.items() if kind.written]


@pytest.fixture
def plan_path(tmp_path: Path) -> Path:
    path = tmp_path / "flood.plan.json"
    save_plan(three_sites(), path)
    return path


@pytest.fixture
def table(tmp_path: Path) -> Path:
    """One site moved, one as it is, one new; a row that is no place."""
    path = tmp_path / "places.csv"
    path.write_text(
        "id;name;lat;lon\n"
        "HALL;The hall;-45,00;-30,001\n"
        "HILL;The hill;-45,00;-29,98\n"
        "BARN;The barn;-45,01;-29,97\n"
        "NONE;No place;;\n"
    )
    return path


def run(*arguments: object) -> int:
    return command_line.main([str(argument) for argument in arguments])


def test_import_updates_adds_and_tells_what_it_did(plan_path, table, capsys):
    assert run("import", plan_path, table) == 0
    plan = load_plan(plan_path)
    assert [site.site_id for site in plan.sites] == ["HALL", "HILL", "SHED", "BARN"]
    hall = plan.site(HALL)
    assert hall.position is not None
    assert hall.position.lon_deg == -30.001
    assert hall.radio == three_sites().site(HALL).radio  # what the file does not tell stays
    assert plan.site(HILL) == three_sites().site(HILL)
    out = capsys.readouterr().out
    assert out.startswith("1 new site and 1 site updated from places.csv.")
    assert (
        "HALL: update HALL: moved 79 m" in out
    )  # 0.001° of longitude at 45° S: 78.8 m, rederived
    assert "HILL is there already" in out
    assert "not read: Row 5: it has no position." in out


def test_import_keeps_a_backup_of_the_plan_it_replaces(plan_path, table):
    before = plan_path.read_bytes()
    run("import", plan_path, table)
    assert backup_path(plan_path, 1).read_bytes() == before


def test_import_into_a_new_file_leaves_the_plan_alone(plan_path, table, tmp_path, capsys):
    before = plan_path.read_bytes()
    out = tmp_path / "else" / "new.plan.json"
    out.parent.mkdir()
    assert run("import", plan_path, table, "--out", out) == 0
    assert plan_path.read_bytes() == before
    assert load_plan(out).has_site(SiteId("BARN"))
    assert capsys.readouterr().out.strip().endswith(str(out))


def test_elevation_files_are_still_found_from_the_new_place(table, tmp_path):
    here = tmp_path / "here"
    here.mkdir()
    path, out = here / "a.plan.json", tmp_path / "b.plan.json"
    save_plan(Plan(terrain_sources=(TerrainSource(path="ground.tif"),)), path)
    assert run("import", path, table, "--out", out) == 0
    (source,) = load_plan(out).terrain_sources
    assert Path(source.path) == (here / "ground.tif").resolve()


def test_importing_the_same_file_again_changes_nothing(plan_path, table):
    run("import", plan_path, table)
    after = plan_path.read_bytes()
    run("import", plan_path, table)
    assert plan_path.read_bytes() == after


def test_a_plan_that_a_window_holds_is_not_written(plan_path, table, capsys):
    before = plan_path.read_bytes()
    lock = PlanLock(plan_path)
    lock.take()
    try:
        assert run("import", plan_path, table) == command_line.CANNOT_READ
    finally:
        lock.release()
    assert plan_path.read_bytes() == before
    assert capsys.readouterr().err.startswith("guyline: ")


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("none.csv", None),
        ("empty.csv", ""),
        ("words.csv", "a,b\nno,place\n"),
        ("broken.gpx", "<gpx"),
        ("broken.geojson", "{"),
        ("broken.gpkg", "no database"),
        ("broken.kmz", "no archive"),
        ("text.docx", "x"),
    ],
)
def test_a_file_without_places_is_refused_and_the_plan_untouched(
    plan_path, tmp_path, capsys, name, content
):
    before = plan_path.read_bytes()
    path = tmp_path / name
    if content is not None:
        path.write_text(content)
    assert run("import", plan_path, path) == command_line.CANNOT_READ
    assert plan_path.read_bytes() == before
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.startswith("guyline: ")


@pytest.mark.parametrize("ending", WRITTEN)
def test_what_was_exported_is_in_the_plan_already(plan_path, tmp_path, capsys, ending):
    out = tmp_path / f"places{ending}"
    assert run("export", plan_path, "--out", out) == 0
    assert len(read_places(out).places) == 3
    before = plan_path.read_bytes()
    assert run("import", plan_path, out) == 0
    assert plan_path.read_bytes() == before
    assert "nothing from places" in capsys.readouterr().out


def test_export_of_an_unknown_kind_is_refused(plan_path, tmp_path):
    assert run("export", plan_path, "--out", tmp_path / "a.xyz") == command_line.CANNOT_READ
    assert not (tmp_path / "a.xyz").exists()


def test_export_without_positions_is_refused(tmp_path, capsys):
    path = tmp_path / "bare.plan.json"
    save_plan(Plan(), path)
    assert run("export", path, "--out", tmp_path / "a.csv") == command_line.CANNOT_READ
    assert "No site has a position" in capsys.readouterr().err


def test_the_demo_is_exported_as_geojson_in_degrees_of_longitude_first(tmp_path):
    demo, out = demo_copy(tmp_path), tmp_path / "demo.geojson"
    assert run("export", demo, "--out", out) == 0
    plan = load_plan(demo)
    points = [
        feature["geometry"]["coordinates"]
        for feature in json.loads(out.read_text())["features"]
        if feature["geometry"]["type"] == "Point"
    ]
    places = [site.position for site in plan.sites if site.position is not None]
    assert [(p[0], p[1]) for p in points] == [
        (pytest.approx(at.lon_deg, abs=1e-7), pytest.approx(at.lat_deg, abs=1e-7)) for at in places
    ]


def test_the_share_copy_has_no_telephone_number_and_no_name_of_a_folder(tmp_path):
    person = Contact(name="Duty officer", role="owner", phone="+99 555 0100")
    site = complete_site(HALL, -45.0, -30.0, contacts=(person,), access="Gate code 4711")
    source = TerrainSource(path="/home/somebody/ground.tif")
    path, out = tmp_path / "a.plan.json", tmp_path / "b.plan.json"
    save_plan(Plan(sites=(site,), terrain_sources=(source,)), path)
    assert run("share", path, "--out", out) == 0
    text = out.read_text()
    for secret in ("555", "4711", "somebody"):
        assert secret in path.read_text()
        assert secret not in text
    assert load_plan(out).terrain_sources[0].path == "ground.tif"


def test_the_share_copy_never_replaces_the_plan(plan_path):
    before = plan_path.read_bytes()
    assert run("share", plan_path, "--out", plan_path) == command_line.CANNOT_READ
    assert plan_path.read_bytes() == before


@pytest.mark.parametrize("command", ["import", "share"])
def test_a_name_that_is_no_plan_is_refused(plan_path, table, tmp_path, command):
    out = tmp_path / "plan.txt"
    given = (plan_path, table) if command == "import" else (plan_path,)
    assert run(command, *given, "--out", out) == command_line.CANNOT_READ
    assert not out.exists()


def test_changes_tells_site_by_site_what_became_of_an_earlier_copy(plan_path, table, capsys):
    assert run("import", plan_path, table) == 0
    capsys.readouterr()
    assert run("changes", plan_path) == 0
    out = capsys.readouterr().out
    assert out.startswith("4 changes since flood.backup-1.plan.json.")
    assert "\nHALL\n  position, moved 79 m: -45°, -30° → -45°, -30.001°\n" in out
    assert "\nBARN\n  BARN: added\n" in out
    assert run("changes", plan_path, plan_path) == 0
    assert capsys.readouterr().out == "0 changes since flood.plan.json.\n"


def test_changes_without_an_earlier_copy_says_what_to_do(plan_path, capsys):
    assert run("changes", plan_path) == command_line.CANNOT_READ
    assert "Name the earlier file too." in capsys.readouterr().err


def test_the_communications_plan_is_written_as_three_tables(plan_path, tmp_path, capsys):
    assert run("comms", plan_path, "--out", tmp_path / "flood.csv") == 0
    names = [Path(line).name for line in capsys.readouterr().out.splitlines()]
    assert names == ["flood ICS 205.csv", "flood ICS 205A.csv", "flood ICS 217A.csv"]
    assert all((tmp_path / name).stat().st_size for name in names)
