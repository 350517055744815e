"""Delta-Bullington read literally from Rec. ITU-R P.1812, one sample after the other.

The oracle of the fast code: kilometres and gigahertz as the Recommendation writes them, plain
loops, nothing shared with the program. Land only.
"""

from __future__ import annotations

from math import acos, cos, exp, log10, pi, sqrt
from types import FunctionType

WAVELENGTH_M_GHZ = 0.299792458  # exact; the Recommendation rounds to 0.2998


def plain_knife_edge_db(nu):  # eq. (12)
    if nu > -0.78:
        return 6.9 + 20 * log10(sqrt((nu - 0.1) ** 2 + 1) + nu - 0.1)
    return 0.0


def plain_bullington_db(d, g, flat, last, hts, hrs, ap, f):  # eqs. (13) to (21)
    """Loss over samples 0 to `last` of (d, g), or over a flat profile of the same distances."""
    lam = WAVELENGTH_M_GHZ / f
    ce = 1 / ap
    total = d[last]
    stim = -1e300
    for i in range(1, last):
        gi = 0.0 if flat else g[i]
        s = (gi + 500 * ce * d[i] * (total - d[i]) - hts) / d[i]
        if s > stim:
            stim = s
    if stim < (hrs - hts) / total:
        nu = -1e300
        for i in range(1, last):
            gi = 0.0 if flat else g[i]
            above = gi + 500 * ce * d[i] * (total - d[i])
            above -= (hts * (total - d[i]) + hrs * d[i]) / total
            v = above * sqrt(0.002 * total / (lam * d[i] * (total - d[i])))
            if v > nu:
                nu = v
    else:
        srim = -1e300
        for i in range(1, last):
            gi = 0.0 if flat else g[i]
            s = (gi + 500 * ce * d[i] * (total - d[i]) - hrs) / (total - d[i])
            if s > srim:
                srim = s
        db = (hrs - hts + srim * total) / (stim + srim)
        nu = (hts + stim * db - (hts * (total - db) + hrs * db) / total) * sqrt(
            0.002 * total / (lam * db * (total - db))
        )
    luc = plain_knife_edge_db(nu)
    return luc + (1 - exp(-luc / 6)) * (10 + 0.02 * total)


def plain_first_term_db(d, hte, hre, a, f, vertical):  # eqs. (29) to (36), land
    er = 22.0
    loss_term = (18 * 0.003 / f) ** 2
    k = 0.036 * (a * f) ** (-1 / 3) * ((er - 1) ** 2 + loss_term) ** (-1 / 4)
    if vertical:
        k = k * (er**2 + loss_term) ** (1 / 2)
    beta = (1 + 1.6 * k**2 + 0.67 * k**4) / (1 + 4.5 * k**2 + 1.53 * k**4)
    x = 21.88 * beta * (f / a**2) ** (1 / 3) * d
    fx = 11 + 10 * log10(x) - 17.6 * x if x >= 1.6 else -20 * log10(x) - 5.6488 * x**1.425
    loss = -fx
    for h in (hte, hre):
        b = beta * (0.9575 * beta * (f**2 / a) ** (1 / 3) * h)
        gain = -1e300
        if b > 2:
            gain = 17.6 * (b - 1.1) ** 0.5 - 5 * log10(b - 1.1) - 8
        elif b > 0:
            gain = 20 * log10(b + 0.1 * b**3)
        loss -= max(gain, 2 + 20 * log10(k))
    return loss


def plain_spherical_db(d, hte, hre, ap, f, vertical):  # eqs. (22) to (28)
    lam = WAVELENGTH_M_GHZ / f
    if d >= sqrt(2 * ap) * (sqrt(0.001 * hte) + sqrt(0.001 * hre)):
        return plain_first_term_db(d, hte, hre, ap, f, vertical)
    c = (hte - hre) / (hte + hre)
    m = 250 * d**2 / (ap * (hte + hre))
    inner = 3 * c / 2 * sqrt(3 * m / (m + 1) ** 3)
    b = 2 * sqrt((m + 1) / (3 * m)) * cos(pi / 3 + acos(max(-1.0, min(1.0, inner))) / 3)
    d1 = d * (1 + b) / 2
    d2 = d - d1
    hse = ((hte - 500 * d1**2 / ap) * d2 + (hre - 500 * d2**2 / ap) * d1) / d
    hreq = 17.456 * sqrt(max(d1 * d2, 0.0) * lam / d)
    if hse > hreq:
        return 0.0
    aem = 500 * (d / (sqrt(hte) + sqrt(hre))) ** 2
    loss = plain_first_term_db(d, hte, hre, aem, f, vertical)
    return 0.0 if loss < 0 else (1 - hse / hreq) * loss


def plain_delta_bullington_db(d, h, last, hts, hrs, ap, f, vertical):  # 4.3.4, attachment 1, 5.6
    """Loss over samples 0 to `last`; d [km], h [m amsl], ap [km], f [GHz]."""
    total = d[last]
    v1 = 0.0
    v2 = 0.0
    for i in range(1, last + 1):
        v1 += (d[i] - d[i - 1]) * (h[i] + h[i - 1])
        v2 += (d[i] - d[i - 1]) * (h[i] * (2 * d[i] + d[i - 1]) + h[i - 1] * (d[i] + 2 * d[i - 1]))
    hst = (2 * v1 * total - v2) / total**2
    hsr = (v2 - v1 * total) / total**2
    hobs = -1e300
    aobt = -1e300
    aobr = -1e300
    for i in range(1, last):
        above = h[i] - (hts * (total - d[i]) + hrs * d[i]) / total
        hobs = max(hobs, above)
        aobt = max(aobt, above / d[i])
        aobr = max(aobr, above / (total - d[i]))
    if hobs > 0:
        gt = aobt / (aobt + aobr)
        hst -= hobs * gt
        hsr -= hobs * (1 - gt)
    hte = hts - min(hst, h[0])
    hre = hrs - min(hsr, h[last])
    lbulla = plain_bullington_db(d, h, False, last, hts, hrs, ap, f)
    lbulls = plain_bullington_db(d, h, True, last, hte, hre, ap, f)
    ldsph = plain_spherical_db(d[last], hte, hre, ap, f, vertical)
    return lbulla + max(ldsph - lbulls, 0.0)


def compiled():
    """Return `plain_delta_bullington_db`, the very same loops, as machine code."""
    from numba import njit

    names = dict(globals())
    for function in (
        plain_knife_edge_db,
        plain_bullington_db,
        plain_first_term_db,
        plain_spherical_db,
        plain_delta_bullington_db,
    ):
        own = FunctionType(function.__code__, names, function.__name__)
        names[function.__name__] = njit(own, nogil=True)
    return names["plain_delta_bullington_db"]
