"""A valley whose coverage is drawn by hand, for the tests of pages and layers."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from guyline.core.network.coverage import NO_SERVER, Coverage
from guyline.core.network.coverage_directions import areas_by_way_km2
from guyline.core.plan import Place, Plan, Position, SiteFunction
from guyline.core.terrain.grid import Grid
from guyline.services.coverage import CoverageReport
from guyline.services.coverage_places import places_served
from guyline.services.geodesy import LocalFrame
from stories import HALL, HILL, three_sites

CELL_M, ROWS, COLUMNS = 100.0, 60, 80
LAT_DEG, LON_DEG = 12.0, -140.0
REQUIRED_DB = 10.0


def place_at(name: str, x_m: float, y_m: float, **known: object) -> Place:
    lat, lon = LocalFrame(LAT_DEG, LON_DEG).to_lat_lon(x_m, y_m)
    return replace(
        Place(name=name, lat_deg=float(lat), lon_deg=float(lon)),
        **known,  # type: ignore[arg-type]
    )


def valley_plan() -> Plan:
    """Two servers and four places: in the light, in the shadow, with one of two, off the map."""
    plan = three_sites()
    frame = LocalFrame(LAT_DEG, LON_DEG)
    moved = []
    for site_id, x, y in ((HALL, -2000.0, 500.0), (HILL, 1500.0, -800.0)):
        lat, lon = frame.to_lat_lon(x, y)
        moved.append(
            replace(
                plan.site(site_id),
                function=SiteFunction.RELAY,
                position=Position(lat_deg=float(lat), lon_deg=float(lon)),
            )
        )
    return replace(
        plan.with_sites(moved),
        places=(
            place_at("Mill", -3500.0, 0.0, people=120),
            place_at("Clinic", -1000.0, 0.0, people=30, weight=4.0, servers_wanted=2),
            place_at("Weir", 1500.0, 0.0, people=15),
            place_at("Away", 0.0, 90_000.0),
        ),
    )


def valley_coverage() -> Coverage:
    """Bands from west to east: two servers, one, short, out, unknown; a ridge rises northward."""
    y, x = np.mgrid[0:ROWS, 0:COLUMNS]
    band = x * 5 // COLUMNS
    margin = np.choose(band, [24.0, 15.0, 4.0, -12.0, np.nan]).astype(np.float32)
    servers = np.choose(band, [2, 1, 0, 0, 0]).astype(np.uint8)
    server = np.where(np.isnan(margin), NO_SERVER, y * 2 // ROWS).astype(np.int16)
    grid = Grid(
        ground_amsl_m=(4.0 * (ROWS - y) + x).astype(np.float32),
        cell_m=CELL_M,
        west_m=-COLUMNS * CELL_M / 2,
        north_m=ROWS * CELL_M / 2,
        lat0_deg=LAT_DEG,
        lon0_deg=LON_DEG,
    )
    return Coverage(
        grid=grid,
        site_ids=(HALL, HILL),
        margin_db=margin,
        server=server,
        servers=servers,
        probability=np.where(np.isnan(margin), np.nan, 0.5 + margin / 100).astype(np.float32),
        required_db=REQUIRED_DB,
    )


def valley_report(plan: Plan | None = None) -> CoverageReport:
    coverage = valley_coverage()
    out_km2, back_km2 = areas_by_way_km2(plan or valley_plan(), coverage)
    return CoverageReport(
        coverage=coverage,
        places=places_served(plan or valley_plan(), coverage),
        skipped=(),
        cells=ROWS * COLUMNS,
        seconds=0.1,
        area_out_km2=out_km2,
        area_back_km2=back_km2,
    )
