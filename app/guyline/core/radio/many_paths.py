"""Delta-Bullington of many paths at once, for whom thousands of single ones take too long."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor

import numpy as np
from numpy.typing import NDArray

from guyline.core.radio.path_arrays import check_radio
from guyline.core.radio.spherical_earth import LAND, surface_admittance
from guyline.core.units import Numbers, wavelength_m
from guyline.errors import InputError

PATHS_PER_TASK = 64


def diffraction_losses_db(
    starts: NDArray[np.int64],
    distance_m: Numbers,
    height_amsl_m: Numbers,
    tx_agl_m: Numbers,
    rx_agl_m: Numbers,
    frequency_hz: float,
    effective_radius_m: float = 8_500_000.0,
    *,
    polarisations: Sequence[str] | None = None,
    obstacle_amsl_m: Numbers | None = None,
) -> Numbers:
    """Diffraction loss over each of many terrain profiles, beyond free space, in dB.

    Parameters
    ----------
    starts : array (P + 1,)
        Path k has the samples `starts[k]` to `starts[k + 1]`, two or more.
    distance_m : array (N,)
        Distance from each path's transmitter, rising from 0. [m]
    height_amsl_m : array (N,)
        Bare ground; a NaN makes the loss of its path NaN. [m above sea level]
    tx_agl_m, rx_agl_m : array (P,)
        Antennas above the ground at the first and last sample of each path, at least 0. [m]
    frequency_hz : float
        Carrier frequency. [Hz]
    effective_radius_m : float
        Effective Earth radius. [m]
    polarisations : sequence of P times "vertical" or "horizontal"
        Vertical where left out.
    obstacle_amsl_m : array (N,), optional
        Ground with what stands on it, which the Bullington part sees. [m above sea level]

    Returns
    -------
    array (P,)
        That of `delta_bullington` for each path.

    Raises
    ------
    InputError
        A frequency, polarisation or antenna that cannot be.

    References
    ----------
    .. [1] Rec. ITU-R P.1812, section 4.3.4, as `diffraction`.
    """
    from guyline.core.radio import sweep_kernel  # here, because the compiler costs a start 0.2 s

    count = len(starts) - 1
    kinds = ["vertical"] * count if polarisations is None else list(polarisations)
    for kind in set(kinds) or {"vertical"}:
        check_radio(frequency_hz, kind)
    if not ((np.asarray(tx_agl_m) >= 0.0) & (np.asarray(rx_agl_m) >= 0.0)).all():
        raise InputError(
            "An antenna lies below the ground.", advice="Check the antenna heights of the sites."
        )
    ghz = frequency_hz / 1e9
    admittance = {kind: surface_admittance(LAND, ghz, 1.0, kind) for kind in set(kinds)}
    loss = np.full(count, np.nan)
    heights = np.array(height_amsl_m, dtype=np.float64)
    given = (
        loss,
        np.array(starts, dtype=np.int64),
        np.array(distance_m, dtype=np.float64),
        heights,
        heights if obstacle_amsl_m is None else np.array(obstacle_amsl_m, dtype=np.float64),
        np.array(tx_agl_m, dtype=np.float64),
        np.array(rx_agl_m, dtype=np.float64),
        np.array([admittance[kind] for kind in kinds], dtype=np.float64),
    )
    radio = float(ghz), float(wavelength_m(frequency_hz)), float(effective_radius_m)

    def some(begin: int) -> None:
        sweep_kernel.paths(*given, begin, min(begin + PATHS_PER_TASK, count), *radio)

    with ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        list(pool.map(some, range(0, count, PATHS_PER_TASK)))
    return loss
