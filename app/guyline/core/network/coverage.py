"""Who on the ground is reached by which sites, talking out and talking back."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from guyline.core.earth import effective_radius_m
from guyline.core.network.cell_clutter import standing_of
from guyline.core.network.link import feeder_loss_of
from guyline.core.network.terminal_terms import CLUTTER, noise_figure_db, terminal_terms
from guyline.core.plan import Handheld, Pattern, Plan, Site, SiteId, Surroundings
from guyline.core.radio.antenna import gain_toward_dbi
from guyline.core.radio.clutter import (
    STATISTICAL_CAP_M,
    statistical_clutter_loss_db,
    terminal_clutter_loss_db,
)
from guyline.core.radio.link_budget import required_snr_db, sensitivity_dbm
from guyline.core.radio.spread import (
    CLUTTER_SD_DB,
    GAIN_SD_DB,
    SENSITIVITY_SD_DB,
    location_spread,
)
from guyline.core.radio.sweep import (
    CancelFlag,
    CellRaster,
    MarginTerms,
    SweepSite,
    coverage_margin_db,
)
from guyline.core.terrain.grid import Grid
from guyline.core.units import Numbers

Raster = NDArray[np.float32]
Number = TypeVar("Number", bound=np.generic)
NO_SERVER = -1
STRIP_ROWS = 32
DIRECTIONAL = (Pattern.SECTOR, Pattern.YAGI, Pattern.PATCH)


@dataclass(frozen=True, eq=False, kw_only=True)
class SiteCoverage:
    """Margin of the weaker direction between one site and a handheld in each cell.

    `cells` tells which cells of the grid these are; NaN is unknown or beyond the radius.
    """

    site_id: SiteId
    cells: CellRaster
    sd_db: Raster
    """Standard deviation of the margin in each cell."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Coverage:
    """Coverage by several sites over the cells of `grid`.

    Attributes
    ----------
    site_ids : tuple of SiteId
        The servers, in the order that `server` counts.
    margin_db : float32 array (rows, columns)
        Margin of the best server's weaker direction, NaN where unknown. [dB]
    server : int16 array (rows, columns)
        Position of the best server in `site_ids`, -1 where none.
    servers : uint8 array (rows, columns)
        How many sites serve the cell with the required margin.
    probability : float32 array (rows, columns)
        That the best server's link works, NaN where unknown. 0 to 1
    required_db : float
        Margin from which a cell counts as served. [dB]
    """

    grid: Grid
    site_ids: tuple[SiteId, ...]
    margin_db: Raster
    server: NDArray[np.int16]
    servers: NDArray[np.uint8]
    probability: Raster
    required_db: float

    @property
    def served(self) -> NDArray[np.bool_]:
        return np.asarray(self.margin_db >= self.required_db)

    @property
    def area_served_km2(self) -> float:
        return float(self.served.sum()) * self.grid.cell_m**2 / 1e6

    @property
    def area_known_km2(self) -> float:
        return float(np.isfinite(self.margin_db).sum()) * self.grid.cell_m**2 / 1e6

    def cell_of(self, x_m: float, y_m: float) -> tuple[int, int] | None:
        """Row and column of a point of the grid's frame, None outside it."""
        row = int(np.floor((self.grid.north_m - y_m) / self.grid.cell_m))
        col = int(np.floor((x_m - self.grid.west_m) / self.grid.cell_m))
        rows, cols = self.margin_db.shape
        return (row, col) if 0 <= row < rows and 0 <= col < cols else None


@dataclass(frozen=True, slots=True, kw_only=True)
class ServerAnswer:
    """Why a site can serve nobody, or the numbers with which it does."""

    constant_db: float = 0.0
    """Margin without path loss, the site's gain and the handheld's clutter; weaker direction."""
    out_over_db: float = 0.0
    """By how much talking out is stronger than the weaker direction."""
    back_over_db: float = 0.0
    """By how much talking back is stronger than the weaker direction."""
    missing: str = ""


def server_answer(plan: Plan, site: Site) -> ServerAnswer:
    """What of the margin between a site and the plan's handheld is the same in every cell.

    Talking out: transmit power - feeder - sensitivity of the handheld; talking back: power of
    the handheld - feeder - sensitivity of the site. What both share is the same either way.
    """
    frequency = plan.radio_profile.frequency_hz
    feeder = feeder_loss_of(site, frequency)
    if site.antenna.pattern in DIRECTIONAL and site.antenna.azimuth_deg is None:
        return ServerAnswer(missing="antenna azimuth")
    needed = {
        "position": site.position,
        "antenna height": site.antenna_agl_m,
        "transmit power": site.radio.tx_power_dbm,
        "receiver noise figure": site.radio.noise_figure_db,
        "antenna gain": site.antenna.gain_dbi,
        "feeder": feeder,
    }
    lacking = [name for name, value in needed.items() if value is None]
    if lacking:
        return ServerAnswer(missing=", ".join(lacking))
    assert feeder is not None
    noise, power = noise_figure_db(site, frequency, feeder), site.radio.tx_power_dbm
    assert noise is not None
    assert power is not None
    held = plan.handheld
    out = power - handheld_sensitivity_dbm(plan)
    back = held.tx_power_dbm - _sensitivity(plan, noise)
    weaker = min(out, back)
    shared = held.gain_dbi - held.body_loss_db - feeder
    terms = sum(term.loss_db for term in terminal_terms(plan, site, frequency, 0.0))
    return ServerAnswer(
        constant_db=weaker + shared - terms, out_over_db=out - weaker, back_over_db=back - weaker
    )


IN_TOWN = (Surroundings.TOWN, Surroundings.DENSE_TOWN)
CLUTTER_STEP_M = 2.5  # linear between, the statistical clutter is within 0.0002 dB
CLUTTER_DISTANCES_M = np.arange(0.0, STATISTICAL_CAP_M + CLUTTER_STEP_M, CLUTTER_STEP_M)
NEAREST_STATISTICAL_M = 250.0  # P.2108-1 section 3.2 begins here; nearer, its value here is kept


def handheld_clutter_db(held: Handheld, frequency_hz: float, distance_m: ArrayLike) -> Numbers:
    """Median loss of a handheld among its surroundings; one value where distance has no say. [dB]

    In a town nobody knows in which street or yard its bearer stands, so P.2108-1 section 3.2
    speaks, which is about such places; elsewhere the kind of surroundings is known, and
    section 3.1 speaks.
    """
    distance = np.asarray(distance_m, dtype=float)
    if held.surroundings in IN_TOWN:
        return statistical_clutter_loss_db(
            np.maximum(distance, NEAREST_STATISTICAL_M), frequency_hz
        )
    kind = CLUTTER.get(held.surroundings)
    if kind is None:
        return np.zeros(())
    return terminal_clutter_loss_db(kind, held.antenna_agl_m, frequency_hz)


def handheld_sensitivity_dbm(plan: Plan) -> float:
    """Weakest signal that the plan's handheld still reads. [dBm]"""
    return _sensitivity(plan, plan.handheld.noise_figure_db)


def _sensitivity(plan: Plan, noise_db: float) -> float:
    profile = plan.radio_profile
    return sensitivity_dbm(
        profile.bandwidth_hz, noise_db, required_snr_db(profile.spreading_factor)
    )


def site_coverage(
    plan: Plan,
    site: Site,
    grid: Grid,
    place_m: tuple[float, float],
    radius_m: float,
    *,
    every: int = 1,
    cancel: CancelFlag | None = None,
    threads: int | None = None,
) -> SiteCoverage:
    """Margin of one site toward a handheld in every cell within a radius.

    Parameters
    ----------
    site : Site
        One for which `server_answer` misses nothing.
    grid : Grid
        Ground, with what stands on it where that is known.
    place_m : (x, y)
        Position of the site in the grid's frame. [m]
    every : int
        As in `coverage_loss_db`: coarser for a quick picture.
    """
    assert site.antenna_agl_m is not None
    sweep = SweepSite(
        height_amsl_m=grid.ground_amsl_m,
        cell_m=grid.cell_m,
        tx_row=(grid.north_m - place_m[1]) / grid.cell_m - 0.5,
        tx_col=(place_m[0] - grid.west_m) / grid.cell_m - 0.5,
        tx_agl_m=site.antenna_agl_m,
        rx_agl_m=plan.handheld.antenna_agl_m,
        frequency_hz=plan.radio_profile.frequency_hz,
        effective_radius_m=effective_radius_m(plan.earth_k),
        polarisation=site.antenna.polarisation,
        standing=standing_of(plan, site, grid),
    )
    margin, sd = coverage_margin_db(
        sweep,
        MarginTerms(
            constant_db=server_answer(plan, site).constant_db,
            gain_dbi=pattern_table_dbi(site),
            clutter_db=np.atleast_1d(
                handheld_clutter_db(plan.handheld, sweep.frequency_hz, CLUTTER_DISTANCES_M)
            ),
            clutter_step_m=CLUTTER_STEP_M,
            variance_db2=_variance_db2(plan, sweep.cell_m),
        ),
        radius_m,
        every=every,
        cancel=cancel,
        threads=threads,
    )
    return SiteCoverage(site_id=site.site_id, cells=margin, sd_db=sd)


def pattern_table_dbi(site: Site) -> Numbers:
    """The antenna's pattern sampled each degree of elevation and, if directional, 5 of azimuth."""
    antenna = site.antenna
    assert antenna.gain_dbi is not None
    elevation = np.linspace(-90.0, 90.0, 181)
    azimuths = np.arange(0.0, 360.0, 5.0) if antenna.pattern in DIRECTIONAL else np.zeros(1)
    aim = antenna.azimuth_deg or 0.0
    off = (azimuths - aim + 180.0) % 360.0 - 180.0 if azimuths.size > 1 else azimuths
    table = gain_toward_dbi(
        antenna.pattern,
        antenna.gain_dbi,
        elevation[None, :],
        azimuth_off_deg=off[:, None],
        tilt_deg=antenna.tilt_deg,
        beamwidth_azimuth_deg=antenna.beamwidth_azimuth_deg,
    )
    return np.asarray(np.broadcast_to(table, (azimuths.size, elevation.size)))


def _variance_db2(plan: Plan, cell_m: float) -> float:
    """Variance of the margin that is the same in every cell; that of the path model is not."""
    location = location_spread(
        plan.radio_profile.frequency_hz, plan.handheld.antenna_agl_m, 10.0, max(cell_m, 30.0)
    ).sd_db
    return location**2 + 2.0 * GAIN_SD_DB**2 + SENSITIVITY_SD_DB**2 + CLUTTER_SD_DB**2


def combine_coverage(
    grid: Grid, parts: Sequence[SiteCoverage], required_db: float, every: int = 1
) -> Coverage:
    """Best server and number of servers in each cell; coarse parts fill the cells around."""
    rows, cols = grid.ground_amsl_m.shape
    blocks = -(-rows // every), -(-cols // every)
    best, server, servers, probability = _best_of(parts, blocks, required_db)

    def spread(values: NDArray[Number]) -> NDArray[Number]:
        if every == 1:
            return values
        return values[:, np.arange(cols) // every][np.arange(rows) // every]

    return Coverage(
        grid=grid,
        site_ids=tuple(part.site_id for part in parts),
        margin_db=spread(best),
        server=spread(server),
        servers=spread(servers),
        probability=spread(probability),
        required_db=required_db,
    )


def _best_of(
    parts: Sequence[SiteCoverage], shape: tuple[int, int], required_db: float
) -> tuple[Raster, NDArray[np.int16], NDArray[np.uint8], Raster]:
    """Best margin, its server, number of servers and probability, in strips that fit a cache."""
    from scipy.special import ndtr  # here, because a start must not wait for it

    best = np.full(shape, np.nan, dtype=np.float32)
    sd = np.full(shape, np.nan, dtype=np.float32)
    server = np.full(shape, NO_SERVER, dtype=np.int16)
    servers = np.zeros(shape, dtype=np.uint8)
    probability = np.empty(shape, dtype=np.float32)

    def strip(begin: int) -> None:
        end = begin + STRIP_ROWS
        for n, part in enumerate(parts):
            cells = part.cells
            top, left = cells.first_row // cells.every, cells.first_col // cells.every
            here = slice(max(begin - top, 0), max(end - top, 0))
            margin = cells.values[here]
            row = top + here.start
            window = slice(row, row + margin.shape[0]), slice(left, left + margin.shape[1])
            better = ~(best[window] >= margin) & np.isfinite(margin)
            np.copyto(best[window], margin, where=better)
            np.copyto(sd[window], part.sd_db[here], where=better)
            np.copyto(server[window], np.int16(n), where=better)
            servers[window] += margin >= required_db
        ndtr(best[begin:end] / sd[begin:end], out=probability[begin:end])

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        list(pool.map(strip, range(0, shape[0], STRIP_ROWS)))
    return best, server, servers, probability
