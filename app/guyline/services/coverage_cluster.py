"""Coverage of plans too large for one machine: one task a site, on a Dask cluster.

Every task reads its own window of the terrain and returns what its site reaches, so memory
follows the radius and not the area. Results are merged into one GeoTIFF window by window.
Elevation files must be readable under the same path on every machine.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from math import ceil, floor
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

import numpy as np

from guyline.core.network.coverage import (
    NO_SERVER,
    SiteCoverage,
    server_answer,
    site_coverage,
)
from guyline.core.plan import Plan, Site, SiteId
from guyline.errors import DocumentError, GuylineError, InputError
from guyline.services.coverage import area_of, servers_of, with_clutter
from guyline.services.coverage_files import BANDS, VOID, frame_crs
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job
from guyline.services.plan_files import plan_from_bytes, plan_to_bytes

if TYPE_CHECKING:
    from distributed import Client

RETRIES = 3  # of a task whose worker died
CACHE_MB = 128  # of the merged file in memory; by itself GDAL takes a twentieth of the machine's


@dataclass(frozen=True, slots=True, kw_only=True)
class CellFrame:
    """The cells of a whole area, without their heights; tasks cut their windows from it."""

    lat0_deg: float
    lon0_deg: float
    west_m: float
    north_m: float
    cell_m: float
    rows: int
    cols: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClusterReport:
    """Figures of a run: `cells` evaluated, `seconds` from first task to last window."""

    site_ids: tuple[SiteId, ...]
    skipped: tuple[tuple[SiteId, str], ...]
    cells: int
    seconds: float
    area_served_km2: float


def connect(address: str) -> Client:
    """Connect to a scheduler.

    Raises
    ------
    GuylineError
        Dask is not installed, or nobody answers at the address.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise GuylineError(
            "Work on a cluster needs Dask, which is not installed here.",
            advice="Install it with: pip install 'guyline[cluster]'",
        ) from error
    try:
        return Client(address, timeout="20s", set_as_default=False)
    except (OSError, ValueError) as error:
        raise GuylineError(
            f"No scheduler answers at {address}: {error}.",
            advice="Start one with 'dask scheduler' and give the address it prints.",
        ) from error


def cell_frame(
    terrain: Terrain, sites: Iterable[Site], *, radius_m: float, cell_m: float
) -> CellFrame:
    """Cells of the area that the sites could serve, no larger than the terrain data."""
    frame, west, south, east, north = area_of(terrain, tuple(sites), radius_m)
    return CellFrame(
        lat0_deg=frame.lat0_deg,
        lon0_deg=frame.lon0_deg,
        west_m=west,
        north_m=north,
        cell_m=cell_m,
        rows=ceil((north - south) / cell_m),
        cols=ceil((east - west) / cell_m),
    )


def sweep_site(
    plan_bytes: bytes, base: str, site_id: SiteId, frame: CellFrame, radius_m: float
) -> SiteCoverage | None:
    """Coverage of one site; this is what a worker runs. None where terrain data ends before it.

    Returns
    -------
    SiteCoverage
        Its cells count in `frame`.
    """
    plan, terrain = _opened(plan_bytes, base)
    site = plan.site(site_id)
    assert site.position is not None
    local = LocalFrame(frame.lat0_deg, frame.lon0_deg)
    xs, ys = local.to_xy(site.position.lat_deg, site.position.lon_deg)
    x, y = float(xs), float(ys)
    col, row = (x - frame.west_m) / frame.cell_m, (frame.north_m - y) / frame.cell_m
    reach = radius_m / frame.cell_m + 2.0
    left, right = max(0, floor(col - reach)), min(frame.cols, ceil(col + reach))
    top, bottom = max(0, floor(row - reach)), min(frame.rows, ceil(row + reach))
    if not (left + 1 <= col <= right - 1 and top + 1 <= row <= bottom - 1):
        return None
    grid = terrain.grid(
        local,
        frame.west_m + left * frame.cell_m,
        frame.north_m - bottom * frame.cell_m,
        frame.west_m + right * frame.cell_m,
        frame.north_m - top * frame.cell_m,
        frame.cell_m,
    )
    part = site_coverage(plan, site, with_clutter(plan, grid), (x, y), radius_m)
    cells = replace(
        part.cells, first_row=part.cells.first_row + top, first_col=part.cells.first_col + left
    )
    return replace(part, cells=cells)


@lru_cache(maxsize=2)
def _opened(plan_bytes: bytes, base: str) -> tuple[Plan, Terrain]:
    """Plan and terrain of a worker, opened once for all its tasks."""
    plan = plan_from_bytes(plan_bytes)
    return plan, Terrain.of_plan(plan, Path(base))


def swept(
    client: Client | None,
    plan: Plan,
    base: Path,
    site_ids: Iterable[SiteId],
    frame: CellFrame,
    radius_m: float,
    job: Job | None = None,
) -> Iterator[SiteCoverage | None]:
    """Coverage of each site as it is finished; in this process where there is no cluster.

    A task whose worker dies is given to another, up to three times.
    """
    plan_bytes, folder = plan_to_bytes(plan), str(base.resolve())
    wanted = tuple(site_ids)
    job = job or Job()
    if client is None:
        for site_id in job.track(wanted, "Sweeping coverage"):
            yield sweep_site(plan_bytes, folder, site_id, frame, radius_m)
        return
    from distributed import as_completed

    futures = [
        client.submit(
            sweep_site, plan_bytes, folder, site_id, frame, radius_m, retries=RETRIES, pure=False
        )
        for site_id in wanted
    ]
    order = {future.key: n for n, future in enumerate(futures)}
    with client.as_current():
        finished = as_completed(futures, with_results=True)
    for done, (future, part) in enumerate(finished, 1):
        yield part
        future.release()
        job.report(done / len(order), "Sweeping coverage")


def cluster_coverage(
    plan: Plan,
    base: Path,
    out: Path,
    *,
    client: Client | None,
    radius_m: float,
    cell_m: float,
    site_ids: tuple[SiteId, ...] = (),
    job: Job | None = None,
) -> ClusterReport:
    """Coverage of all servers of a plan as one GeoTIFF, however large the area is.

    Raises
    ------
    InputError, TerrainError, DocumentError
        What was asked for cannot be had, with what to do.
    """
    if out.suffix.lower() not in (".tif", ".tiff"):
        raise InputError(
            f"{out.name} is no raster.", advice="Give a name that ends in .tif for this work."
        )
    servers = servers_of(plan, site_ids)
    missing = {site.site_id: server_answer(plan, site).missing for site in servers}
    able = [site for site in servers if not missing[site.site_id]]
    terrain = Terrain.open(plan.terrain_sources, base)
    frame = cell_frame(terrain, able, radius_m=radius_m, cell_m=cell_m)
    ids = tuple(site.site_id for site in able)
    begin = perf_counter()
    parts = swept(client, plan, base, ids, frame, radius_m, job)
    required = plan.radio_profile.required_margin_db
    cells, served, outside = _merge(parts, ids, frame, required, out)
    return ClusterReport(
        site_ids=tuple(i for i in ids if i not in outside),
        skipped=(
            *((site_id, why) for site_id, why in missing.items() if why),
            *((site_id, "terrain data at the site") for site_id in outside),
        ),
        cells=cells,
        seconds=perf_counter() - begin,
        area_served_km2=served * cell_m**2 / 1e6,
    )


def _merge(
    parts: Iterable[SiteCoverage | None],
    ids: tuple[SiteId, ...],
    frame: CellFrame,
    required_db: float,
    out: Path,
) -> tuple[int, int, tuple[SiteId, ...]]:
    """Merge parts into the file; cells evaluated, cells served, and sites without a part."""
    import rasterio
    from rasterio import Affine

    beside = out.with_name(f".{out.name}.{os.getpid()}.tif")
    shape = {
        "driver": "GTiff",
        "width": frame.cols,
        "height": frame.rows,
        "count": len(BANDS),
        "dtype": "float32",
        "crs": frame_crs(frame.lat0_deg, frame.lon0_deg),
        "transform": Affine(frame.cell_m, 0.0, frame.west_m, 0.0, -frame.cell_m, frame.north_m),
        "nodata": VOID,
        "tiled": True,
        "interleave": "band",  # a tile of all bands would begin with 0 in all but the first
        "sparse_ok": True,
        "bigtiff": "if_safer",
    }
    cells, came = 0, set[SiteId]()
    try:
        with (
            rasterio.Env(GDAL_CACHEMAX=CACHE_MB),
            rasterio.open(beside, "w+", **shape) as file,
        ):
            for n, name in enumerate(BANDS, 1):
                file.set_band_description(n, name)
            file.update_tags(servers=", ".join(ids), required_margin_db=f"{required_db:g}")
            for part in parts:
                if part is not None:
                    came.add(part.site_id)
                    cells += int(np.isfinite(part.cells.values).sum())
                    _add(file, part, ids.index(part.site_id), required_db)
            served = _count_served(file, required_db)
        beside.replace(out)
    except OSError as error:
        raise DocumentError(
            f"{out} could not be written: {error}.",
            advice="Choose a folder that exists and that you may write to, with space left.",
        ) from error
    finally:
        beside.unlink(missing_ok=True)
    return cells, served, tuple(site_id for site_id in ids if site_id not in came)


def _add(file: object, part: SiteCoverage, n: int, required_db: float) -> None:
    """Let one site compete for the cells of its window; of equal margins the first site wins."""
    from rasterio.windows import Window
    from scipy.special import ndtr

    rows, cols = part.cells.values.shape
    window = Window(part.cells.first_col, part.cells.first_row, cols, rows)
    bands = file.read(window=window)  # type: ignore[attr-defined]  # rasterio ships no types
    margin, probability, servers, server = bands
    new = part.cells.values
    known = np.isfinite(new)
    fresh = margin == VOID
    better = known & (fresh | (new > margin) | ((new == margin) & (n < server)))
    servers[...] = np.where(servers == VOID, 0.0, servers) + (known & (new >= required_db))
    margin[better] = new[better]
    probability[better] = ndtr(new[better] / part.sd_db[better])
    server[...] = np.where(server == VOID, NO_SERVER, server)
    server[better] = n
    file.write(bands, window=window)  # type: ignore[attr-defined]


def _count_served(file: object, required_db: float) -> int:
    total = 0
    for _, window in file.block_windows(1):  # type: ignore[attr-defined]
        total += int((file.read(1, window=window) >= required_db).sum())  # type: ignore[attr-defined]
    return total
