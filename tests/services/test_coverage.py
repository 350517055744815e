"""Coverage of a plan: which sites serve, who has service, and the files for a GIS."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import rasterio
import shapely
from pypdf import PdfReader
from pyproj import Transformer

from guyline import command_line
from guyline.core.network.coverage import handheld_clutter_db, server_answer
from guyline.core.plan import ClutterBand, Place, Plan, SiteId
from guyline.errors import DocumentError, InputError, JobCancelled, TerrainError
from guyline.services.coverage import CoverageReport, plan_coverage
from guyline.services.coverage_files import write_contours, write_geotiff
from guyline.services.elevation import Terrain
from guyline.services.job import Job
from guyline.services.opening import OpenedPlan, demo_copy, open_plan

KITE = SiteId("KITE")


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> OpenedPlan:
    return open_plan(demo_copy(tmp_path_factory.mktemp("demo")))


@pytest.fixture(scope="module")
def report(demo: OpenedPlan) -> CoverageReport:
    return plan_coverage(demo.plan, demo.terrain, cell_m=90.0)


def test_all_relays_and_gateways_serve_and_the_figures_add_up(demo, report):
    coverage = report.coverage
    relays = {s.site_id for s in demo.plan.sites if s.function != "end point"}
    assert set(coverage.site_ids) == relays
    assert 0 < coverage.area_served_km2 < coverage.area_known_km2
    assert report.cells >= np.isfinite(coverage.margin_db).sum()
    assert ((coverage.servers > 0) == coverage.served).all()
    assert ((coverage.server >= 0) == np.isfinite(coverage.margin_db)).all()
    known = np.isfinite(coverage.probability)
    assert ((coverage.probability[known] >= 0) & (coverage.probability[known] <= 1)).all()


def test_a_place_has_the_margin_of_its_cell_and_outside_the_data_is_unknown(demo):
    site = demo.plan.site(SiteId("TOWN")).position
    assert site is not None
    places = (
        Place(name="Town", lat_deg=site.lat_deg, lon_deg=site.lon_deg, people=10),
        Place(name="Far away", lat_deg=site.lat_deg + 5.0, lon_deg=site.lon_deg),
    )
    plan = replace(demo.plan, places=places)
    town, away = plan_coverage(plan, demo.terrain, (KITE,), cell_m=90.0).places
    assert town.is_served is True
    assert town.best == KITE
    assert town.servers == 1
    secure = replace(places[0], servers_wanted=2)
    both = plan_coverage(replace(plan, places=(secure,)), demo.terrain, (KITE,), cell_m=90.0)
    assert both.places[0].is_served is False  # one is not enough for it
    assert (away.is_served, away.margin_db, away.best) == (None, None, None)


def test_a_margin_at_the_town_is_close_to_the_path_between_two_points(demo):
    # the raster's cells and the geodesic's samples differ, so a few decibels of diffraction may
    held = demo.plan.handheld
    town = demo.plan.site(SiteId("TOWN")).position
    kite = demo.plan.site(KITE)
    assert town is not None
    assert kite.position is not None
    assert kite.antenna_agl_m is not None
    place = Place(name="Town", lat_deg=town.lat_deg, lon_deg=town.lon_deg)
    plan = replace(demo.plan, places=(place,))
    (served,) = plan_coverage(plan, demo.terrain, (KITE,), cell_m=30.0).places
    path = demo.assessor.path(
        plan,
        kite.position.lat_deg,
        kite.position.lon_deg,
        kite.antenna_agl_m,
        town.lat_deg,
        town.lon_deg,
        held.antenna_agl_m,
    )
    assert served.margin_db is not None
    assert path.loss_db is not None
    gain = 5.0  # KITE's antenna in its best direction; toward the town, 7 degrees down, a bit less
    clutter = handheld_clutter_db(held, plan.radio_profile.frequency_hz, path.profile.length_m)
    best = server_answer(plan, kite).constant_db + gain - path.loss_db - float(clutter)
    assert best - 2.5 < served.margin_db < best + 1.0


def test_a_wood_that_was_drawn_takes_its_part_as_on_the_single_path(demo):
    # oracle: the link job's path to the same place, with and without the wood; the raster's
    # samples and the geodesic's differ, so the wood's edge may fall one cell aside
    kite, town = demo.plan.site(KITE), demo.plan.site(SiteId("TOWN")).position
    assert kite.position is not None
    assert kite.antenna_agl_m is not None
    assert town is not None
    middle = [
        (a + b) / 2.0
        for a, b in (
            (kite.position.lat_deg, town.lat_deg),
            (kite.position.lon_deg, town.lon_deg),
        )
    ]
    wood = ClutterBand(
        from_lat_deg=middle[0],
        from_lon_deg=middle[1],
        to_lat_deg=0.1 * middle[0] + 0.9 * town.lat_deg,
        to_lon_deg=0.1 * middle[1] + 0.9 * town.lon_deg,
        half_width_m=200.0,
        height_m=40.0,
    )
    place = Place(name="Town", lat_deg=town.lat_deg, lon_deg=town.lon_deg)
    lost, swept = [], []
    for clutter in ((), (wood,)):
        plan = replace(demo.plan, places=(place,), clutter=clutter)
        (served,) = plan_coverage(plan, demo.terrain, (KITE,), cell_m=30.0).places
        path = demo.assessor.path(
            plan,
            kite.position.lat_deg,
            kite.position.lon_deg,
            kite.antenna_agl_m,
            town.lat_deg,
            town.lon_deg,
            plan.handheld.antenna_agl_m,
        )
        swept.append(served.margin_db)
        lost.append(path.loss_db)
    assert lost[1] - lost[0] > 2.0
    assert swept[0] - swept[1] == pytest.approx(lost[1] - lost[0], abs=2.0)


def test_a_server_that_lacks_something_is_named_and_left_out(demo):
    bare = replace(demo.plan.site(KITE), antenna_agl_m=None)
    report = plan_coverage(demo.plan.with_site(bare), demo.terrain, cell_m=180.0)
    assert (KITE, "antenna height") in report.skipped
    assert KITE not in report.coverage.site_ids


def test_an_unknown_site_and_missing_terrain_are_refused_with_advice(demo):
    with pytest.raises(InputError, match="no site NOWHERE"):
        plan_coverage(demo.plan, demo.terrain, (SiteId("NOWHERE"),))
    with pytest.raises(TerrainError, match="needs terrain data"):
        plan_coverage(demo.plan, Terrain((), ()))
    with pytest.raises(TerrainError, match="needs terrain data"):
        plan_coverage(Plan(), demo.terrain)


def test_a_cancelled_coverage_stops(demo):
    job = Job()
    job.cancel()
    with pytest.raises(JobCancelled):
        plan_coverage(demo.plan, demo.terrain, cell_m=180.0, job=job)


def test_the_geotiff_lies_where_it_belongs_and_holds_every_band(demo, report, tmp_path):
    out = tmp_path / "coverage.tif"
    write_geotiff(report.coverage, out)
    kite = demo.plan.site(KITE).position
    assert kite is not None
    with rasterio.open(out) as file:
        assert file.count == 4
        to_raster = Transformer.from_crs("EPSG:4326", file.crs, always_xy=True)
        x, y = to_raster.transform(kite.lon_deg, kite.lat_deg)
        (values,) = file.sample([(x, y)])
        margin = file.read(1, masked=True)
    assert values[0] >= report.coverage.required_db
    assert 0.99 < values[1] <= 1.0
    assert margin.count() == np.isfinite(report.coverage.margin_db).sum()


def test_the_contours_enclose_the_area_served(report, tmp_path):
    from pyproj import Geod
    from shapely.geometry import shape

    out = tmp_path / "coverage.geojson"
    write_contours(report.coverage, out)
    content = json.loads(out.read_text(encoding="utf-8"))
    levels = {feature["properties"]["margin_db"] for feature in content["features"]}
    assert levels == {0.0, 10.0, 20.0}
    geod, area = Geod(ellps="WGS84"), 0.0
    for feature in content["features"]:
        if feature["properties"]["margin_db"] == report.coverage.required_db:
            polygon = shape(feature["geometry"])
            assert polygon.is_valid
            area += abs(geod.geometry_area_perimeter(polygon)[0])
    assert area / 1e6 == pytest.approx(report.coverage.area_served_km2, rel=0.002)


@pytest.mark.parametrize("write", [write_geotiff, write_contours])
def test_a_folder_that_is_not_there_is_said_and_nothing_is_left(report, tmp_path, write):
    with pytest.raises(DocumentError, match="could not be written"):
        write(report.coverage, tmp_path / "missing" / "coverage.out")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("qapp")  # pages are painted with the application that runs already
def test_the_command_prints_its_figures_and_writes_its_file(demo, tmp_path, capsys):
    out: Path = tmp_path / "kite.tif"
    status = command_line.main(
        ["coverage", str(demo.path), "--site", "KITE", "--cell", "90", "--out", str(out), "--json"]
    )
    content = json.loads(capsys.readouterr().out)
    assert status == 0
    assert out.exists()
    assert {"cells", "seconds", "cells_per_second", "area_served_km2", "needs_served"} <= set(
        content
    )
    assert content["servers"] == ["KITE"]
    assert content["needs_served"] == sum(place["served"] is True for place in content["places"])
    served = [place for place in content["places"] if place["served"]]
    assert content["people_served"] == sum(place["people"] for place in served)
    left = [place["name"] for place in content["places"] if not place["served"]]
    assert sorted(content["uncovered"]) == sorted(left)
    for place in served:
        assert min(place["talk_out_db"], place["talk_back_db"]) == place["margin_db"]
    for name in ("kite.png", "kite.pdf"):
        drawn = ["coverage", str(demo.path), "--site", "KITE", "--cell", "90"]
        assert command_line.main([*drawn, "--out", str(tmp_path / name)]) == 0
        assert (tmp_path / name).stat().st_size > 10_000
    capsys.readouterr()
    assert command_line.main(["coverage", str(demo.path), "--out", "x.docx"]) == 2
    assert ".tif" in capsys.readouterr().err


@pytest.mark.usefixtures("qapp")  # pages are painted with the application that runs already
def test_the_sheets_come_with_the_page_of_coverage_when_it_is_asked_for(demo, tmp_path, capsys):
    out: Path = tmp_path / "kite.pdf"
    command = ["sheet", str(demo.path), "--site", "KITE", "--out", str(out)]
    assert command_line.main([*command, "--coverage"]) == 0
    capsys.readouterr()
    said = [page.extract_text() for page in PdfReader(out).pages]
    assert sum(text.startswith("Coverage") for text in said) == 1
    assert "KITE" in said[0]


def test_areas_and_raster_open_in_the_library_that_map_programs_share(report, tmp_path):
    # independent implementation: GDAL through pyogrio and rasterio
    areas, raster = tmp_path / "reached.geojson", tmp_path / "reached.tif"
    write_contours(report.coverage, areas)
    write_geotiff(report.coverage, raster)
    told = pyogrio.read_info(areas)
    assert told["crs"] == "EPSG:4326"
    assert told["geometry_type"] == "Polygon"
    _, _, geometry, (margin_db, _) = pyogrio.raw.read(areas)
    shapes = shapely.from_wkb(geometry)
    assert shapely.is_valid(shapes).all()
    assert shapely.is_ccw(shapely.get_exterior_ring(shapes)).all()  # RFC 7946 section 3.1.6
    served = shapes[margin_db == report.coverage.required_db]
    inside = shapely.point_on_surface(max(served, key=shapely.area))
    with rasterio.open(raster) as file:
        to_raster = Transformer.from_crs("EPSG:4326", file.crs, always_xy=True)
        (bands,) = file.sample([to_raster.transform(inside.x, inside.y)])
    assert bands[0] >= report.coverage.required_db  # both say the same of the same place
