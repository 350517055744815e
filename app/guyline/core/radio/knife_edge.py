"""Loss behind a single knife edge."""

from __future__ import annotations

from typing import overload

import numpy as np

from guyline.core.radio.path_arrays import as_numbers
from guyline.core.units import Numbers

CLEAR_NU = -0.78  # P.1812 eq. (12): an edge at or below this takes nothing


@overload
def knife_edge_loss_db(nu: float) -> float: ...
@overload
def knife_edge_loss_db(nu: Numbers) -> Numbers: ...
def knife_edge_loss_db(nu: float | Numbers) -> float | Numbers:
    r"""Diffraction loss over a single knife edge, in dB.

    .. math:: J(\nu) = 6.9 + 20 \log_{10}\left(\sqrt{(\nu-0.1)^2+1} + \nu - 0.1\right)

    for :math:`\nu > -0.78`, otherwise 0.

    Parameters
    ----------
    nu : array (N,) or float
        Fresnel diffraction parameter; NaN gives NaN, minus infinity (no edge) gives 0.

    Returns
    -------
    array (N,) or float
        [dB]

    Notes
    -----
    Within 0.13 dB of the exact Fresnel integrals for -0.78 <= nu <= 10. Further below the
    line of sight the exact curve swings by 1 dB about zero, which the approximation leaves out.

    References
    ----------
    .. [1] Rec. ITU-R P.526, single knife-edge obstacle, approximation of J(nu).
    .. [2] Rec. ITU-R P.1812, eq. (12).
    """
    parameter = as_numbers("diffraction parameter", nu)
    x = np.maximum(parameter, CLEAR_NU) - 0.1  # keeps NaN, spares the logarithm the rest
    loss = 6.9 + 20.0 * np.log10(np.hypot(x, 1.0) + x)
    loss = np.where(parameter <= CLEAR_NU, 0.0, loss)
    return float(loss) if np.ndim(loss) == 0 else loss
