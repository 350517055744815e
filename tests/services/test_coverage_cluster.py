"""Coverage on a cluster of two processes is the coverage of one process, cell by cell."""

from __future__ import annotations

import os
import signal
from collections.abc import Iterator
from dataclasses import replace
from itertools import permutations
from pathlib import Path

import numpy as np
import pytest
import rasterio
from rasterio import Affine

import guyline
from guyline import command_line
from guyline.core.plan import Plan, Site, SiteFunction, TerrainSource
from guyline.errors import GuylineError, InputError
from guyline.services.coverage import coverage_grid, plan_coverage
from guyline.services.coverage_cluster import cluster_coverage, connect, swept
from guyline.services.elevation import Terrain
from guyline.services.plan_files import save_plan
from stories import HALL, HILL, SHED, three_sites

RADIUS_M, CELL_M = 1500.0, 40.0

# workers are processes of their own: what they log and leave is not this process's doing
pytestmark = pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::ResourceWarning")


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with rolling ground round the three sites, as a GeoTIFF."""
    folder = tmp_path_factory.mktemp("ground")
    rows, cols, pitch = 200, 300, 0.0004
    y, x = np.mgrid[0:rows, 0:cols]
    ground = 60.0 + 40.0 * np.sin(x / 11.0) + 25.0 * np.cos(y / 8.0)
    with rasterio.open(
        folder / "ground.tif",
        "w",
        driver="GTiff",
        width=cols,
        height=rows,
        count=1,
        dtype="float32",
        crs="EPSG:4326",
        transform=Affine(pitch, 0.0, -30.04, 0.0, -pitch, -44.96),
    ) as file:
        file.write(ground.astype("float32"), 1)
    return folder


@pytest.fixture(scope="module")
def plan() -> Plan:
    plan = three_sites()

    def relay(site: Site) -> Site:
        return replace(site, function=SiteFunction.RELAY)

    return replace(
        plan,
        sites=tuple(relay(site) for site in plan.sites),
        terrain_sources=(TerrainSource(path="ground.tif"),),
    )


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[object]:
    from distributed import LocalCluster

    package = str(Path(guyline.__file__).parents[1])
    before = os.environ.get("PYTHONPATH")
    os.environ["PYTHONPATH"] = package  # workers import what the tests import
    made = LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=":0",  # a port that is free, whoever else runs these tests
        local_directory=str(tmp_path_factory.mktemp("workers")),
    )
    yield made
    made.close()
    if before is None:
        del os.environ["PYTHONPATH"]
    else:
        os.environ["PYTHONPATH"] = before


def bands_of(path: Path) -> np.ndarray:
    with rasterio.open(path) as file:
        return np.asarray(file.read())


@pytest.fixture(scope="module")
def alone(place: Path, plan: Plan) -> np.ndarray:
    out = place / "alone.tif"
    cluster_coverage(plan, place, out, client=None, radius_m=RADIUS_M, cell_m=CELL_M)
    return bands_of(out)


def test_two_processes_give_the_cells_of_one(place, plan, cluster, alone, caplog):
    client = connect(cluster.scheduler_address)
    out = place / "shared.tif"
    report = cluster_coverage(plan, place, out, client=client, radius_m=RADIUS_M, cell_m=CELL_M)
    client.close()
    assert report.site_ids == (HALL, HILL, SHED)
    assert report.cells > 10_000
    assert np.array_equal(bands_of(out), alone)


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_the_order_in_which_sites_come_changes_no_cell(place, plan, alone, monkeypatch, order):
    def shuffled(*given: object, **named: object) -> list[object]:
        parts = list(swept(*given, **named))
        return [parts[i] for i in order]

    monkeypatch.setattr("guyline.services.coverage_cluster.swept", shuffled)
    out = place / "shuffled.tif"
    cluster_coverage(plan, place, out, client=None, radius_m=RADIUS_M, cell_m=CELL_M)
    assert np.array_equal(bands_of(out), alone)


def test_a_worker_that_dies_costs_no_cell(place, plan, cluster, alone, caplog):
    client = connect(cluster.scheduler_address)
    pids = client.run(os.getpid)
    os.kill(next(iter(pids.values())), signal.SIGKILL)
    out = place / "survived.tif"
    cluster_coverage(plan, place, out, client=client, radius_m=RADIUS_M, cell_m=CELL_M)
    client.close()
    assert np.array_equal(bands_of(out), alone)


def test_windows_merged_into_the_file_are_the_coverage_of_the_whole_area(place, plan, alone):
    # oracle: the coverage that the window shows, computed over the whole grid at once
    terrain = Terrain.open(plan.terrain_sources, place)
    grid = coverage_grid(terrain, plan.sites, radius_m=RADIUS_M, cell_m=CELL_M)
    whole = plan_coverage(plan, terrain, radius_m=RADIUS_M, grid=grid).coverage
    margin = np.where(alone[0] == -9999.0, np.nan, alone[0])
    assert margin.shape == whole.margin_db.shape
    assert margin == pytest.approx(whole.margin_db, abs=0.02, nan_ok=True)
    assert (np.maximum(alone[2], 0) == whole.servers).mean() > 0.999


def test_the_command_takes_a_scheduler(place, plan, cluster, alone, capsys, caplog):
    save_plan(plan, place / "three.plan.json")
    status = command_line.main(
        [
            "coverage",
            str(place / "three.plan.json"),
            "--scheduler",
            cluster.scheduler_address,
            "--out",
            str(place / "command.tif"),
            "--cell",
            str(CELL_M),
            "--radius",
            str(RADIUS_M / 1000),
        ]
    )
    assert status == 0
    assert "3 sites serve" in capsys.readouterr().out
    assert np.array_equal(bands_of(place / "command.tif"), alone)


def test_what_is_no_raster_is_refused_before_any_work(place, plan):
    with pytest.raises(InputError, match="no raster"):
        cluster_coverage(
            plan, place, place / "x.geojson", client=None, radius_m=RADIUS_M, cell_m=CELL_M
        )


def test_an_address_that_is_none_is_refused_with_what_to_do():
    with pytest.raises(GuylineError, match="No scheduler answers"):
        connect("nowhere")
