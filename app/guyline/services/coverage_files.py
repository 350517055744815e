"""Coverage as files that any geographic information system opens."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Collection
from pathlib import Path

import numpy as np

from guyline.core.network.coverage import Coverage
from guyline.errors import DocumentError, InputError
from guyline.services.geodesy import LocalFrame

VOID = -9999.0
BANDS = ("margin of the best server", "probability", "number of servers", "best server")


def write_for_gis(coverage: Coverage, path: Path) -> None:
    """Write a raster or areas, as the ending says.

    Raises
    ------
    InputError
        The ending is another one.
    DocumentError
        The file cannot be written; what was there before stays.
    """
    refuse_unknown_ending(path, tuple(GIS_WRITERS))
    GIS_WRITERS[path.suffix.lower()](coverage, path)


def refuse_unknown_ending(path: Path, known: Collection[str]) -> None:
    """Refuse a name before the work of a minute is done for it.

    Raises
    ------
    InputError
        Its ending is none of those known.
    """
    if path.suffix.lower() not in known:
        raise InputError(
            f"{path.name} has an ending that is not known.",
            advice="Give a name that ends in .tif for a raster, in .geojson for areas, in .pdf"
            " for a page to print or in .png for a picture of it.",
        )


def write_geotiff(coverage: Coverage, path: Path) -> None:
    """Write margin, probability, number of servers and best server as four bands.

    Raises
    ------
    DocumentError
        The file cannot be written; what was there before stays.
    """
    import rasterio
    from rasterio import Affine

    grid = coverage.grid
    rows, cols = coverage.margin_db.shape

    def write(beside: Path) -> None:
        with rasterio.open(
            beside,
            "w",
            driver="GTiff",
            width=cols,
            height=rows,
            count=len(BANDS),
            dtype="float32",
            crs=frame_crs(grid.lat0_deg, grid.lon0_deg),
            transform=Affine(grid.cell_m, 0.0, grid.west_m, 0.0, -grid.cell_m, grid.north_m),
            nodata=VOID,
            compress="deflate",
            predictor=3,
        ) as file:
            bands = (
                coverage.margin_db,
                coverage.probability,
                coverage.servers.astype(np.float32),
                coverage.server.astype(np.float32),
            )
            for n, (band, name) in enumerate(zip(bands, BANDS, strict=True), 1):
                file.write(np.where(np.isfinite(band), band, np.float32(VOID)), n)
                file.set_band_description(n, name)
            file.update_tags(
                servers=", ".join(coverage.site_ids),
                required_margin_db=f"{coverage.required_db:g}",
            )

    _whole(path, ".tif", write)


def write_contours(coverage: Coverage, path: Path, levels_db: tuple[float, ...] = ()) -> None:
    """Write the areas above margins as GeoJSON polygons in WGS 84 (RFC 7946).

    Parameters
    ----------
    levels_db : tuple of float
        Margins; where left out 0, the required one and 10 dB above it.

    Raises
    ------
    DocumentError
        The file cannot be written; what was there before stays.
    """
    levels = levels_db or (0.0, coverage.required_db, coverage.required_db + 10.0)
    features = [
        feature for level in sorted(set(levels)) for feature in _areas_above(coverage, level)
    ]
    content = {"type": "FeatureCollection", "features": features}
    text = json.dumps(content, allow_nan=False)
    _whole(path, ".geojson", lambda beside: beside.write_text(text, encoding="utf-8"))


def _areas_above(coverage: Coverage, level_db: float) -> list[dict[str, object]]:
    from rasterio import Affine
    from rasterio.features import shapes

    grid = coverage.grid
    above = np.asarray(coverage.margin_db >= level_db)
    found = shapes(
        above.astype(np.uint8),
        mask=above,
        transform=Affine(grid.cell_m, 0.0, grid.west_m, 0.0, -grid.cell_m, grid.north_m),
    )
    frame = LocalFrame(grid.lat0_deg, grid.lon0_deg)
    return [
        {
            "type": "Feature",
            "properties": {"margin_db": level_db, "servers": list(coverage.site_ids)},
            "geometry": {
                "type": "Polygon",
                "coordinates": [_ring(frame, ring) for ring in geometry["coordinates"]],
            },
        }
        for geometry, _ in found
    ]


def _ring(frame: LocalFrame, ring: list[tuple[float, float]]) -> list[list[float]]:
    x, y = np.array(ring).T
    lat, lon = frame.to_lat_lon(x, y)
    return [[round(float(a), 6), round(float(b), 6)] for a, b in zip(lon, lat, strict=True)]


def frame_crs(lat0_deg: float, lon0_deg: float) -> str:
    """A local frame as an azimuthal equidistant projection, which every GIS can read."""
    return f"+proj=aeqd +lat_0={lat0_deg:.9f} +lon_0={lon0_deg:.9f} +datum=WGS84 +units=m +no_defs"


def _whole(path: Path, suffix: str, write: Callable[[Path], object]) -> None:
    """Write beside, then rename: a file is whole or as it was."""
    beside = path.with_name(f".{path.name}.{os.getpid()}{suffix}")
    try:
        write(beside)
        beside.replace(path)
    except OSError as error:
        raise DocumentError(
            f"{path} could not be written: {error}.",
            advice="Choose a folder that exists and that you may write to, with space left.",
        ) from error
    finally:
        beside.unlink(missing_ok=True)


GIS_WRITERS: dict[str, Callable[[Coverage, Path], None]] = {
    ".tif": write_geotiff,
    ".tiff": write_geotiff,
    ".geojson": write_contours,
    ".json": write_contours,
}
PAGE_ENDINGS = (".pdf", ".png")
ENDINGS = (*GIS_WRITERS, *PAGE_ENDINGS)
