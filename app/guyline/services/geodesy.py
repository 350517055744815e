"""Distances, bearings and local metres on WGS 84, and the ways people write a place."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

import mgrs as _mgrs
import numpy as np
from numpy.typing import ArrayLike, NDArray

from guyline.core.units import Numbers

if TYPE_CHECKING:  # costs a start 0.2 s; loaded by the first thing that is measured
    from pyproj import Geod, Proj

_CENTIMETRE_DEG = 1e-7  # of latitude
UTM_SOUTH_DEG, UTM_NORTH_DEG = -80.0, 84.0  # DMA TM 8358.2, 1989: UTM between 80 S and 84 N


@cache
def _ellipsoid() -> Geod:
    from pyproj import Geod

    return Geod(ellps="WGS84")


@dataclass(frozen=True, slots=True, kw_only=True)
class Geodesic:
    """The shortest way between two places; both azimuths are true, 0 to 360.

    `azimuth_deg` points from the first place to the second, `back_azimuth_deg` back again.
    """

    distance_m: float
    azimuth_deg: float
    back_azimuth_deg: float


def inverse(lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float) -> Geodesic:
    """Distance and bearings between two places on WGS 84.

    References
    ----------
    .. [1] C. F. F. Karney, "Algorithms for geodesics", J. Geodesy 87 (2013) 43-55, as in PROJ.
    """
    azimuth, back, distance = _ellipsoid().inv(lon1_deg, lat1_deg, lon2_deg, lat2_deg)
    return Geodesic(
        distance_m=float(distance),
        azimuth_deg=float(azimuth) % 360.0,
        back_azimuth_deg=float(back) % 360.0,
    )


def inverses(
    lat1_deg: Numbers, lon1_deg: Numbers, lat2_deg: Numbers, lon2_deg: Numbers
) -> tuple[Numbers, Numbers, Numbers]:
    """Distance and both true bearings, as `inverse` has them, between many pairs of places."""
    azimuth, back, distance = _ellipsoid().inv(lon1_deg, lat1_deg, lon2_deg, lat2_deg)
    return np.asarray(distance), np.asarray(azimuth) % 360.0, np.asarray(back) % 360.0


def direct(
    lat_deg: float, lon_deg: float, azimuth_deg: float, distance_m: float
) -> tuple[float, float]:
    """Latitude and longitude of the place at a true azimuth and distance from another."""
    lon, lat, _ = _ellipsoid().fwd(lon_deg, lat_deg, azimuth_deg, distance_m)
    return float(lat), float(lon)


def points_along(
    lat1_deg: float, lon1_deg: float, lat2_deg: float, lon2_deg: float, step_m: float
) -> tuple[Numbers, Numbers, Numbers]:
    """Evenly spaced places on a geodesic, both ends included, never farther apart than `step_m`.

    Returns
    -------
    distance_m, lat_deg, lon_deg : array (N,)
        N is at least 2; two equal places give two samples at distance 0.
    """
    way = inverse(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    count = max(2, math.ceil(way.distance_m / step_m) + 1)
    distance = np.linspace(0.0, way.distance_m, count)
    lon, lat, _ = _ellipsoid().fwd(
        np.full(count, lon1_deg),
        np.full(count, lat1_deg),
        np.full(count, way.azimuth_deg),
        distance,
    )
    lat, lon = np.asarray(lat), np.asarray(lon)
    lat[0], lon[0], lat[-1], lon[-1] = lat1_deg, lon1_deg, lat2_deg, lon2_deg
    return distance, lat, lon


def knots_along(
    lat1_deg: Numbers,
    lon1_deg: Numbers,
    lat2_deg: Numbers,
    lon2_deg: Numbers,
    shares: Numbers,
    which: NDArray[np.intp],
) -> tuple[Numbers, Numbers]:
    """Places on many geodesics: element i lies at `shares[i]` of the way of pair `which[i]`."""
    distance, azimuth, _ = inverses(lat1_deg, lon1_deg, lat2_deg, lon2_deg)
    lon, lat, _ = _ellipsoid().fwd(
        lon1_deg[which], lat1_deg[which], azimuth[which], distance[which] * shares
    )
    return np.asarray(lat), np.asarray(lon)


def elevation_angle_deg(
    distance_m: float, near_amsl_m: float, far_amsl_m: float, effective_radius_m: float
) -> float:
    r"""Angle at which the far point is seen above the horizontal of the near one, up positive.

    .. math:: \tan\theta = (h_2 - h_1 - d^2 / 2 a_e) / d

    References
    ----------
    .. [1] The depression formula of the trade: tan(theta) = (dh + d^2 / (2 k a)) / d.
    """
    rise_m = far_amsl_m - near_amsl_m - distance_m**2 / (2.0 * effective_radius_m)
    return math.degrees(math.atan2(rise_m, distance_m))


class LocalFrame:
    """Metres east (x) and north (y) of a place, azimuthal equidistant on WGS 84.

    Distances from the origin are exact; between other points of a 60 km box they are off by at
    most 5.4e-6 (measured against geodesics at 500 pairs), where UTM may be off by 4e-4.
    """

    def __init__(self, lat0_deg: float, lon0_deg: float) -> None:
        self.lat0_deg = float(lat0_deg)  # numpy's own floats print their type
        self.lon0_deg = float(lon0_deg)
        origin = f"+lat_0={self.lat0_deg!r} +lon_0={self.lon0_deg!r}"
        self.crs = f"+proj=aeqd {origin} +datum=WGS84 +units=m +no_defs"

    # By geodesics, of which the projection is made: the projection itself takes 10 ms to set up,
    # anew on every thread, and a picture that follows the hand sets up several.

    def to_xy(self, lat_deg: ArrayLike, lon_deg: ArrayLike) -> tuple[Numbers, Numbers]:
        """Metres east and north of the origin, shaped as the positions are."""
        lat, lon = np.broadcast_arrays(np.asarray(lat_deg, float), np.asarray(lon_deg, float))
        lat0, lon0 = np.full(lat.shape, self.lat0_deg), np.full(lat.shape, self.lon0_deg)
        azimuth_deg, _, distance = _ellipsoid().inv(lon0, lat0, lon, lat)
        azimuth = np.radians(azimuth_deg)
        return np.asarray(distance * np.sin(azimuth)), np.asarray(distance * np.cos(azimuth))

    def to_lat_lon(self, x_m: ArrayLike, y_m: ArrayLike) -> tuple[Numbers, Numbers]:
        """WGS 84 latitude and longitude, shaped as the coordinates are."""
        x, y = np.broadcast_arrays(np.asarray(x_m, float), np.asarray(y_m, float))
        lat0, lon0 = np.full(x.shape, self.lat0_deg), np.full(x.shape, self.lon0_deg)
        azimuth_deg = np.degrees(np.arctan2(x, y))
        lon, lat, _ = _ellipsoid().fwd(lon0, lat0, azimuth_deg, np.hypot(x, y))
        return np.asarray(lat), np.asarray(lon)


def degrees_minutes(lat_deg: float, lon_deg: float) -> str:
    """Text of a place as aircraft, ships and rescue services read it: 41°17.400′S 174°48.000′E."""
    return _hemispheres(lat_deg, lon_deg, _degrees_minutes)


def degrees_minutes_seconds(lat_deg: float, lon_deg: float) -> str:
    """Text of a place in degrees, minutes and seconds: 41°17′24.0″S 174°48′00.0″E."""
    return _hemispheres(lat_deg, lon_deg, _degrees_minutes_seconds)


def decimal_degrees(lat_deg: float, lon_deg: float, decimals: int = 5) -> str:
    """Text of a place in decimal degrees with its hemispheres: 41.29000°S 174.80000°E."""
    return _hemispheres(lat_deg, lon_deg, lambda angle: f"{angle:.{decimals}f}°")


@dataclass(frozen=True, slots=True, kw_only=True)
class Utm:
    """A place on the Universal Transverse Mercator grid."""

    zone: int
    is_north: bool
    easting_m: float
    northing_m: float

    def __str__(self) -> str:
        """Hemisphere in full: "60S" is zone 60 south to some and the northern band S to others."""
        hemisphere = "North" if self.is_north else "South"
        return (
            f"{self.zone} {hemisphere} "
            f"{math.floor(self.easting_m + 0.5)} {math.floor(self.northing_m + 0.5)}"
        )


def utm_position(lat_deg: float, lon_deg: float) -> Utm | None:
    """Grid coordinates of a place, None beyond 84° N and 80° S where the grid does not reach."""
    if not UTM_SOUTH_DEG <= lat_deg < UTM_NORTH_DEG:
        return None
    zone, is_north = utm_zone(lat_deg, lon_deg), lat_deg >= 0.0
    easting, northing = _utm_projection(zone, is_north)(lon_deg, lat_deg)
    return Utm(zone=zone, is_north=is_north, easting_m=easting, northing_m=northing)


def utm(lat_deg: float, lon_deg: float) -> str:
    """Text of a place on the UTM grid: 60 South 315784 5426715; empty where UTM ends."""
    position = utm_position(lat_deg, lon_deg)
    return "" if position is None else str(position)


def from_utm(position: Utm) -> tuple[float, float]:
    """Latitude and longitude of a place on the UTM grid."""
    lon, lat = _utm_projection(position.zone, position.is_north)(
        position.easting_m, position.northing_m, inverse=True
    )
    return float(lat), float(lon)


def mgrs(lat_deg: float, lon_deg: float, digits: int = 5) -> str:
    """Text of a place on the Military Grid Reference System, cut off and never rounded.

    Parameters
    ----------
    digits : int
        Digits for easting and northing each: 5 is 1 m, 4 is 10 m, 3 is 100 m.
    """
    if -_CENTIMETRE_DEG < lat_deg < 0.0:
        lat_deg = 0.0  # there the library writes a northing that it cannot read itself
    full: str = _mgrs.MGRS().toMGRS(lat_deg, lon_deg, MGRSPrecision=5)
    square, numbers = full[:-10], full[-10:]
    return square + numbers[:digits] + numbers[5 : 5 + digits]


def from_mgrs(reference: str) -> tuple[float, float]:
    """Latitude and longitude of the centre of an MGRS square.

    Raises
    ------
    ValueError
        The reference is none.
    """
    try:
        with warnings.catch_warnings():
            # a warning means that the band letter does not fit the rest
            warnings.simplefilter("error", RuntimeWarning)
            lat, lon = _mgrs.MGRS().toLatLon(reference)
    except (_mgrs.core.MGRSError, RuntimeWarning) as error:
        raise ValueError(f"{reference} is no MGRS reference") from error
    return float(lat), float(lon)


def geo_uri(lat_deg: float, lon_deg: float, uncertainty_m: float | None = None) -> str:
    """Text of a place as a telephone opens it, latitude first.

    References
    ----------
    .. [1] RFC 5870, "A Uniform Resource Identifier for Geographic Locations", section 3.
    """
    uncertain = "" if uncertainty_m is None else f";u={uncertainty_m:.0f}"
    return f"geo:{lat_deg:.5f},{lon_deg:.5f}{uncertain}"


def grid_convergence_deg(lat_deg: float, lon_deg: float) -> float | None:
    """Angle from true north to the north of the UTM grid, east positive; None where UTM ends.

    A grid bearing is the true bearing minus this.
    """
    if not UTM_SOUTH_DEG <= lat_deg < UTM_NORTH_DEG:
        return None
    projection = _utm_projection(utm_zone(lat_deg, lon_deg), lat_deg >= 0.0)
    return float(projection.get_factors(lon_deg, lat_deg).meridian_convergence)


def utm_zone(lat_deg: float, lon_deg: float) -> int:
    """UTM zone of a place, with the widened zones 32V and 31X to 37X.

    References
    ----------
    .. [1] DMA TM 8358.1, "Datums, Ellipsoids, Grids, and Grid Reference Systems", 1990, ch. 3.
    """
    lon = (lon_deg + 180.0) % 360.0 - 180.0
    if 56.0 <= lat_deg < 64.0 and 3.0 <= lon < 12.0:
        return 32
    if 72.0 <= lat_deg < UTM_NORTH_DEG and 0.0 <= lon < 42.0:
        return 31 + 2 * int((lon + 3.0) // 12.0)
    return int((lon + 180.0) // 6.0) + 1


def _utm_projection(zone: int, is_north: bool) -> Proj:
    from pyproj import Proj

    return Proj(f"EPSG:{(32600 if is_north else 32700) + zone}")


def _degrees_minutes(angle_deg: float) -> str:
    degrees, thousandths = divmod(round(angle_deg * 60_000.0), 60_000)
    return f"{degrees}°{thousandths / 1000.0:06.3f}′"


def _degrees_minutes_seconds(angle_deg: float) -> str:
    minutes, tenths = divmod(round(angle_deg * 36_000.0), 600)
    degrees, minutes = divmod(minutes, 60)
    return f"{degrees}°{minutes:02d}′{tenths / 10.0:04.1f}″"


def _hemispheres(lat_deg: float, lon_deg: float, written: Callable[[float], str]) -> str:
    north_or_south = "S" if lat_deg < 0.0 else "N"
    east_or_west = "W" if lon_deg < 0.0 else "E"
    return f"{written(abs(lat_deg))}{north_or_south} {written(abs(lon_deg))}{east_or_west}"
