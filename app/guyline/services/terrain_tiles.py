"""Open data of the world's ground: which tiles cover an area, where and whose they are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from guyline.core.plan import Fact
from guyline.services.raster import Bounds


@dataclass(frozen=True, slots=True, kw_only=True)
class TileSet:
    """Data of the ground in tiles of whole degrees.

    Attributes
    ----------
    url, file_name
        With `{ns}`, `{lat:02d}`, `{ew}` and `{lon:03d}` for the south-west corner of a tile.
    missing_means
        What it means where the server has no such tile.
    notice
        The words that its licence asks to be shown.
    side_deg
        Width and height of a tile, whose corners are multiples of it.
    """

    key: str
    name: str
    url: str
    file_name: str
    vertical_datum: str
    includes_trees: Fact
    height_sd_m: float | None
    missing_means: str
    notice: str
    licence: str
    side_deg: int = 1

    @property
    def is_cover(self) -> bool:
        """Whether it tells what stands on the ground, and no heights."""
        return not self.vertical_datum


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One tile, named by its south-west corner in whole degrees."""

    tile_set: TileSet
    south_deg: int
    west_deg: int

    @property
    def url(self) -> str:
        return self._named(self.tile_set.url)

    @property
    def file_name(self) -> str:
        return self._named(self.tile_set.file_name)

    def _named(self, pattern: str) -> str:
        return pattern.format(
            ns="N" if self.south_deg >= 0 else "S",
            lat=abs(self.south_deg),
            ew="E" if self.west_deg >= 0 else "W",
            lon=abs(self.west_deg),
        )


# Addresses and notices: readme of the bucket and Registry of Open Data entry; the notice is
# found word for word in several public repositories, the licence itself was not read.
# Vertical error: 4 m at 90 % (from memory of the product handbook), so 4 / 1.645 m.
_GLO_30_STEM = "Copernicus_DSM_COG_10_{ns}{lat:02d}_00_{ew}{lon:03d}_00_DEM"
GLO_30 = TileSet(
    key="glo-30",
    name="Copernicus GLO-30, surface with trees and roofs, 1 arc second",
    url=f"https://copernicus-dem-30m.s3.amazonaws.com/{_GLO_30_STEM}/{_GLO_30_STEM}.tif",
    file_name=f"{_GLO_30_STEM}.tif",
    vertical_datum="EGM2008",
    includes_trees=Fact.YES,
    height_sd_m=2.4,
    missing_means="open sea, or one of the few countries that are not released",
    notice=(
        "produced using Copernicus WorldDEM-30 © DLR e.V. 2010-2014 and © Airbus Defence and "
        "Space GmbH 2014-2018 provided under COPERNICUS by the European Union and ESA; all "
        "rights reserved"
    ),
    licence="free licence of its own; the notice must be shown",
)
# Address and list of sources: documentation of the public tile bucket.
SRTM_TYPE = TileSet(
    key="srtm-type",
    name="SRTM-type tiles from mixed sources, 1 arc second",
    url=(
        "https://elevation-tiles-prod.s3.amazonaws.com/skadi/{ns}{lat:02d}/"
        "{ns}{lat:02d}{ew}{lon:03d}.hgt.gz"
    ),
    file_name="{ns}{lat:02d}{ew}{lon:03d}.hgt.gz",
    vertical_datum="EGM96, national heights in places",
    includes_trees=Fact.UNKNOWN,
    height_sd_m=None,
    missing_means="no data",
    notice=(
        "Terrain: ArcticDEM, Geoscience Australia, Austria DGM, Canada OGL, EU-DEM/Copernicus, "
        "ETOPO1/NOAA, INEGI, LINZ, Kartverket, Environment Agency UK, USGS 3DEP, SRTM, GMTED2010"
    ),
    licence="open licences of the sources named",
)
# Folder confirmed in public code, file name by the stem of its catalogue entries (from memory);
# notice as the download page of the product gives it.
_WORLD_COVER_STEM = "ESA_WorldCover_10m_2021_v200_{ns}{lat:02d}{ew}{lon:03d}_Map.tif"
WORLD_COVER = TileSet(
    key="world-cover",
    name="ESA WorldCover 2021, kinds of ground cover, 10 m",
    url=f"https://esa-worldcover.s3.eu-central-1.amazonaws.com/v200/2021/map/{_WORLD_COVER_STEM}",
    file_name=_WORLD_COVER_STEM,
    vertical_datum="",
    includes_trees=Fact.UNKNOWN,
    height_sd_m=None,
    missing_means="open sea",
    notice=(
        "© ESA WorldCover project / Contains modified Copernicus Sentinel data (2021) processed "
        "by ESA WorldCover consortium"
    ),
    licence="CC BY 4.0",
    side_deg=3,
)
TILE_SETS = (GLO_30, SRTM_TYPE, WORLD_COVER)


def tiles_of(tile_set: TileSet, box: Bounds) -> tuple[Tile, ...]:
    """Return the tiles that an area touches, from the north-west on."""
    side = tile_set.side_deg
    return tuple(
        Tile(tile_set=tile_set, south_deg=south, west_deg=(west + 180) % 360 - 180)
        for south in reversed(_corners(box.south_deg, box.north_deg, side))
        if -90 <= south < 90
        for west in _corners(box.west_deg, box.east_deg, side)
    )


def grown(box: Bounds, margin_m: float) -> Bounds:
    """Return an area with a margin all round, so that horizons and detours have ground."""
    lat = margin_m / 111_000.0
    widest = max(abs(box.south_deg), abs(box.north_deg))
    lon = lat / max(0.05, math.cos(math.radians(widest)))
    return Bounds(
        west_deg=box.west_deg - lon,
        south_deg=max(-90.0, box.south_deg - lat),
        east_deg=box.east_deg + lon,
        north_deg=min(90.0, box.north_deg + lat),
    )


def box_round(
    places_deg: Iterator[tuple[float, float]] | tuple[tuple[float, float], ...],
) -> Bounds | None:
    """Return the box round places given by latitude and longitude, None round none."""
    places = tuple(places_deg)
    if not places:
        return None
    first = places[0][1]
    lons = [first + (lon - first + 180.0) % 360.0 - 180.0 for _, lon in places]
    lats = [lat for lat, _ in places]
    return Bounds(west_deg=min(lons), south_deg=min(lats), east_deg=max(lons), north_deg=max(lats))


def _corners(low: float, high: float, side: int) -> range:
    first = math.floor(low / side) * side
    return range(first, max(first + side, math.ceil(high / side) * side), side)
