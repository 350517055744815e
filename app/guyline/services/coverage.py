"""Coverage of a plan over its terrain: the area, a sweep for every server, who is served."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from time import perf_counter

import numpy as np

from guyline.core.network.cell_clutter import BandOnGrid, drawn_clutter_m
from guyline.core.network.coverage import (
    Coverage,
    SiteCoverage,
    combine_coverage,
    server_answer,
    site_coverage,
)
from guyline.core.network.coverage_directions import areas_by_way_km2
from guyline.core.plan import Plan, Site, SiteFunction, SiteId
from guyline.core.radio.sweep import CancelFlag, prepare
from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers
from guyline.errors import InputError, TerrainError
from guyline.services.coverage_places import PlaceServed, Tally, places_served, tally_of
from guyline.services.elevation import Bounds, Terrain
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job

RADIUS_M = 40_000.0  # our choice: farther, a pocket radio meets the horizon or the next network
MOST_CELLS = 4_000_000  # our choice: a picture of 2000 x 2000; larger areas get larger cells
FINEST_CELL_M = 10.0


@dataclass(frozen=True, eq=False, kw_only=True)
class CoverageReport:
    """Coverage with its figures.

    `skipped` are servers for which something is missing, with what; `cells` counts every cell
    of every server, and `seconds` is what the whole model took over them, best server included,
    without reading the terrain. `area_out_km2` and `area_back_km2` are served if only one way
    counted: they say which way is the weaker.
    """

    coverage: Coverage
    places: tuple[PlaceServed, ...]
    skipped: tuple[tuple[SiteId, str], ...]
    cells: int
    seconds: float
    area_out_km2: float
    area_back_km2: float

    @property
    def cells_per_second(self) -> float:
        return self.cells / self.seconds if self.seconds else 0.0

    @property
    def tally(self) -> Tally:
        return tally_of(self.places)


def servers_of(plan: Plan, site_ids: Sequence[SiteId] = ()) -> tuple[Site, ...]:
    """The sites whose coverage is asked for: those named, else all relays and gateways.

    Raises
    ------
    InputError
        A named site is not in the plan.
    """
    for site_id in site_ids:
        if not plan.has_site(site_id):
            raise InputError(
                f"The plan has no site {site_id}.",
                advice="Sites are: " + ", ".join(site.site_id for site in plan.sites),
            )
    if site_ids:
        return tuple(plan.site(site_id) for site_id in site_ids)
    return tuple(s for s in plan.sites if s.function is not SiteFunction.END_POINT)


def area_of(
    terrain: Terrain, sites: Sequence[Site], radius_m: float
) -> tuple[LocalFrame, float, float, float, float]:
    """Local frame about the sites, and west, south, east, north of what they could serve. [m]

    Raises
    ------
    TerrainError
        There is no terrain data there, or no site has a position.
    """
    places = [site.position for site in sites if site.position is not None]
    bounds = terrain.bounds
    if bounds is None or not places:
        raise TerrainError(
            "Coverage needs terrain data and at least one site with a position.",
            advice="Name an elevation file under Plan, Terrain, and enter positions.",
        )
    frame = LocalFrame(
        float(np.mean([p.lat_deg for p in places])), float(np.mean([p.lon_deg for p in places]))
    )
    x, y = frame.to_xy([p.lat_deg for p in places], [p.lon_deg for p in places])
    rim_x, rim_y = _rim_m(frame, bounds)
    west = max(float(rim_x.min()), float(x.min()) - radius_m)
    east = min(float(rim_x.max()), float(x.max()) + radius_m)
    south = max(float(rim_y.min()), float(y.min()) - radius_m)
    north = min(float(rim_y.max()), float(y.max()) + radius_m)
    if east <= west or north <= south:
        raise TerrainError(
            "The terrain data does not reach the sites.",
            advice="Add elevation data for the area of the plan.",
        )
    return frame, west, south, east, north


def _rim_m(frame: LocalFrame, bounds: Bounds) -> tuple[Numbers, Numbers]:
    """Points along the edges of a box, whose sides bend in the frame. [m]"""
    share = np.linspace(0.0, 1.0, 21)
    lat = bounds.south_deg + (bounds.north_deg - bounds.south_deg) * share
    lon = bounds.west_deg + (bounds.east_deg - bounds.west_deg) * share
    low, high = np.zeros(21, dtype=int), np.full(21, 20)
    rows = np.concatenate([np.arange(21), np.arange(21), low, high])
    cols = np.concatenate([low, high, np.arange(21), np.arange(21)])
    return frame.to_xy(lat[rows], lon[cols])


def coverage_grid(
    terrain: Terrain,
    sites: Sequence[Site],
    *,
    radius_m: float = RADIUS_M,
    cell_m: float | None = None,
    job: Job | None = None,
) -> Grid:
    """Heights of the area that the sites could serve, no larger than the terrain data.

    Raises
    ------
    TerrainError
        There is no terrain data there, or no site has a position.
    """
    frame, west, south, east, north = area_of(terrain, sites, radius_m)
    if cell_m is None:
        pitch = terrain.pitch_m(frame.lat0_deg, frame.lon0_deg)
        cell_m = max(pitch, FINEST_CELL_M, ((east - west) * (north - south) / MOST_CELLS) ** 0.5)
    return terrain.grid(frame, west, south, east, north, cell_m, job)


def plan_coverage(
    plan: Plan,
    terrain: Terrain,
    site_ids: Sequence[SiteId] = (),
    *,
    radius_m: float = RADIUS_M,
    cell_m: float | None = None,
    grid: Grid | None = None,
    every: int = 1,
    cancel: CancelFlag | None = None,
    job: Job | None = None,
) -> CoverageReport:
    """Coverage by the plan's relays and gateways, or by the sites named.

    Parameters
    ----------
    grid : Grid, optional
        One made before; saves reading the terrain again while a site is dragged.
    every : int
        Coarser for a quick picture; 1 is every cell.
    cancel : array (1,) of uint8, optional
        Set it to stop within a sweep; `job` is asked between two.

    Raises
    ------
    InputError, TerrainError
        What was asked for cannot be had, with what to do.
    JobCancelled
        `job` or `cancel` asked to stop.
    """
    job = job or Job()
    servers = servers_of(plan, site_ids)
    missing = {site.site_id: server_answer(plan, site).missing for site in servers}
    able = [site for site in servers if not missing[site.site_id]]
    grid = grid or coverage_grid(
        terrain, able or servers, radius_m=radius_m, cell_m=cell_m, job=job
    )
    frame = LocalFrame(grid.lat0_deg, grid.lon0_deg)
    grid = with_clutter(plan, grid)
    inside = [site for site in able if _is_inside(grid, _place_m(frame, site))]
    prepare()  # the loops are compiled once for each machine: not the sweep's time
    begin = perf_counter()
    parts = [
        site_coverage(
            plan,
            site,
            grid,
            _place_m(frame, site),
            radius_m,
            every=every,
            cancel=cancel,
        )
        for site in job.track(inside, "Sweeping coverage")
    ]
    coverage = combine_coverage(grid, parts, plan.radio_profile.required_margin_db, every)
    seconds = perf_counter() - begin
    outside = [s.site_id for s in able if s not in inside]
    out_km2, back_km2 = areas_by_way_km2(plan, coverage)
    return CoverageReport(
        coverage=coverage,
        places=places_served(plan, coverage),
        skipped=(
            *((site_id, why) for site_id, why in missing.items() if why),
            *((site_id, "terrain data at the site") for site_id in outside),
        ),
        cells=_cells(parts),
        seconds=seconds,
        area_out_km2=out_km2,
        area_back_km2=back_km2,
    )


def with_clutter(plan: Plan, grid: Grid) -> Grid:
    """The grid with what the planner drew on it, over what the map of land cover says."""
    if not plan.clutter:
        return grid
    frame = LocalFrame(grid.lat0_deg, grid.lon0_deg)
    from_x, from_y = frame.to_xy(
        [b.from_lat_deg for b in plan.clutter], [b.from_lon_deg for b in plan.clutter]
    )
    to_x, to_y = frame.to_xy(
        [b.to_lat_deg for b in plan.clutter], [b.to_lon_deg for b in plan.clutter]
    )
    bands = [
        BandOnGrid(
            band=band,
            from_x_m=float(from_x[n]),
            from_y_m=float(from_y[n]),
            to_x_m=float(to_x[n]),
            to_y_m=float(to_y[n]),
        )
        for n, band in enumerate(plan.clutter)
    ]
    return replace(grid, clutter_m=drawn_clutter_m(grid, bands))


def _cells(parts: Sequence[SiteCoverage]) -> int:
    return sum(int(np.isfinite(part.cells.values).sum()) for part in parts)


def _place_m(frame: LocalFrame, site: Site) -> tuple[float, float]:
    assert site.position is not None
    x, y = frame.to_xy(site.position.lat_deg, site.position.lon_deg)
    return float(x), float(y)


def _is_inside(grid: Grid, place_m: tuple[float, float]) -> bool:
    half = grid.cell_m / 2.0
    x, y = place_m
    return (
        grid.west_m + half <= x <= grid.east_m - half
        and grid.south_m + half <= y <= grid.north_m - half
    )
