"""Fetches elevation tiles: sizes first, then each tile whole, or nothing of it.

What was fetched in part goes on where it stopped. A tile counts only when it opens as a raster
that lies where its name says.
"""

from __future__ import annotations

import hashlib
import json
import os
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import IO

import platformdirs

from guyline.core.plan import TerrainSource
from guyline.errors import TerrainError
from guyline.services.job import Job
from guyline.services.raster import Raster
from guyline.services.raster_file import open_raster
from guyline.services.terrain_tiles import Tile
from guyline.services.web import Answer, NotThereError, RangeError, WebError, asked

LARGEST_TILE_BYTES = 400_000_000  # ten times a large one: our choice
SPARE_BYTES = 200_000_000  # left free on the disk: our choice
_CHUNK_BYTES = 256 * 1024
_FETCHING = ".fetching"  # folder of what is not whole yet
_AGAIN = "Check the connection and try again; what was fetched is kept."


def terrain_folder() -> Path:
    """Return where tiles are kept for all plans of this user."""
    return platformdirs.user_data_path("guyline", appauthor=False) / "terrain"


@dataclass(frozen=True, slots=True, kw_only=True)
class TileState:
    """What is known of a tile before it is fetched; `size` is what is left to fetch, in bytes."""

    tile: Tile
    is_here: bool = False
    exists: bool = True
    size: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Download:
    """What a download came to.

    `missing` are tiles that the server does not have: the ground there stays unknown.
    """

    sources: tuple[TerrainSource, ...] = ()
    missing: tuple[Tile, ...] = ()
    problems: tuple[str, ...] = ()


def survey(tiles: Sequence[Tile], folder: Path, job: Job | None = None) -> tuple[TileState, ...]:
    """Return how much there is to fetch, asking the server for the size of each tile.

    Raises
    ------
    TerrainError
        The server cannot be reached.
    """
    job = job or Job()
    return tuple(_state(tile, folder) for tile in job.track(tiles, "Asking for sizes"))


def fetch(tiles: Sequence[Tile], folder: Path, today: date, job: Job | None = None) -> Download:
    """Fetch the tiles that are not in a folder yet and return what is there now.

    A tile that fails does not stop the others. On cancel, whole tiles stay and the part of the
    one at hand too; the next call goes on from there.
    """
    job = job or Job()
    done: list[Tile] = []
    missing: list[Tile] = []
    problems: list[str] = []
    for number, tile in enumerate(tiles):
        job.check()
        try:
            there = (folder / tile.file_name).is_file() or _fetch_one(
                tile, folder, today, _Share(job, number, len(tiles))
            )
            (done if there else missing).append(tile)
        except TerrainError as error:
            problems.append(f"{error} {error.advice}".strip())
    return Download(
        sources=tuple(_source(tile, folder) for tile in done),
        missing=tuple(missing),
        problems=tuple(problems),
    )


@dataclass(frozen=True, slots=True)
class _Share:
    """The part of a job's progress that belongs to one tile."""

    job: Job
    number: int
    count: int

    def report(self, part: float, text: str) -> None:
        self.job.report((self.number + part) / self.count, text)


def _state(tile: Tile, folder: Path) -> TileState:
    if (folder / tile.file_name).is_file():
        return TileState(tile=tile, is_here=True, size=0)
    try:
        with asked(tile.url, method="HEAD") as answer:
            size = answer.length
    except NotThereError:
        return TileState(tile=tile, exists=False, size=0)
    except WebError as error:
        raise _failed(tile, error) from error
    begun = folder / _FETCHING / tile.file_name
    got = begun.stat().st_size if begun.is_file() else 0
    return TileState(tile=tile, size=None if size is None else max(0, size - got))


def _fetch_one(tile: Tile, folder: Path, today: date, share: _Share) -> bool:
    """Fetch a tile; False where the server has none."""
    begun = folder / _FETCHING / tile.file_name
    try:
        begun.parent.mkdir(parents=True, exist_ok=True)
        _download(tile, begun, share)
        _refuse_lies(tile, begun)
        _write_record(tile, begun, folder, today)
        os.replace(begun, folder / tile.file_name)
    except NotThereError:
        return False
    except WebError as error:
        raise _failed(tile, error) from error
    except OSError as error:
        raise TerrainError(
            f"{tile.file_name} cannot be kept: {error.strerror or error}.",
            advice="Free some space or choose another folder.",
        ) from error
    return True


def _download(tile: Tile, begun: Path, share: _Share) -> None:
    start = begun.stat().st_size if begun.is_file() else 0
    try:
        with asked(tile.url, start=start) as answer:
            _refuse_size(tile, begun, answer)
            with begun.open("ab" if answer.start else "wb") as file:
                _copy(answer, file, tile, share)
    except RangeError:  # the part is longer than the tile, so it is not part of it
        begun.unlink()
        _download(tile, begun, share)


def _copy(answer: Answer, file: IO[bytes], tile: Tile, share: _Share) -> None:
    got, total = answer.start, answer.total
    while chunk := answer.read(_CHUNK_BYTES):
        got += len(chunk)
        if got > LARGEST_TILE_BYTES:
            raise TerrainError(
                f"{tile.file_name} goes on beyond {LARGEST_TILE_BYTES / 1e6:.0f} MB.",
                advice="Do not trust this source; choose another one.",
            )
        file.write(chunk)
        share.report(got / total if total else 0.0, f"Fetching {tile.file_name}")
    if total is not None and got < total:
        raise TerrainError(
            f"{tile.file_name} was cut off after {got / 1e6:.1f} of {total / 1e6:.1f} MB.",
            advice=_AGAIN,
        )


def _refuse_size(tile: Tile, begun: Path, answer: Answer) -> None:
    if answer.total is None:
        return
    if answer.total > LARGEST_TILE_BYTES:
        raise TerrainError(
            f"{tile.file_name} is said to have {answer.total / 1e6:.0f} MB.",
            advice="Do not trust this source; choose another one.",
        )
    refuse_small_disk(tile.file_name, answer.total - answer.start, begun.parent)


def refuse_small_disk(name: str, size: int, folder: Path) -> None:
    """Refuse what would leave too little space on the disk.

    Raises
    ------
    TerrainError
        There is no room for so many bytes.
    """
    free = shutil.disk_usage(folder).free
    if size + SPARE_BYTES > free:
        raise TerrainError(
            f"{name} needs {size / 1e6:.0f} MB, but only {free / 1e6:.0f} MB are free.",
            advice="Free some space or choose another folder.",
        )


def _refuse_lies(tile: Tile, begun: Path) -> None:
    """Refuse what is no raster or lies elsewhere: a login page, an error in words, a mix-up."""
    try:
        source = _source(tile, begun.parent)
        bounds = Raster(source, open_raster(tile.file_name, begun.parent)).bounds
        half = tile.tile_set.side_deg / 2.0
        if not bounds.contains(tile.south_deg + half, tile.west_deg + half):
            raise TerrainError("it lies elsewhere")
    except TerrainError as error:
        begun.unlink()
        raise TerrainError(
            f"What the server sent as {tile.file_name} is no tile of that place.",
            advice="The login page of a network can do that: open a browser, then try again.",
        ) from error


def _write_record(tile: Tile, begun: Path, folder: Path, today: date) -> None:
    """Keep beside the tile where it is from, since when, under which licence."""
    with begun.open("rb") as file:
        digest = hashlib.file_digest(file, "sha256").hexdigest()
    record = {
        "url": tile.url,
        "fetched_on": today.isoformat(),
        "size": begun.stat().st_size,
        "sha256": digest,
        "licence": tile.tile_set.licence,
        "notice": tile.tile_set.notice,
    }
    text = json.dumps(record, indent=1, ensure_ascii=False)
    (folder / f"{tile.file_name}.json").write_text(text, encoding="utf-8")


def _source(tile: Tile, folder: Path) -> TerrainSource:
    tiles = tile.tile_set
    return TerrainSource(
        path=str(folder / tile.file_name),
        description=tiles.name,
        vertical_datum=tiles.vertical_datum,
        includes_trees=tiles.includes_trees,
        height_sd_m=tiles.height_sd_m,
        licence=f"{tiles.notice} ({tiles.licence})",
    )


def _failed(tile: Tile, error: WebError) -> TerrainError:
    return TerrainError(f"{tile.file_name} cannot be fetched: {error}.", advice=_AGAIN)
