"""Downloads from a server of its own process, whatever its manners."""

from __future__ import annotations

import gzip
import hashlib
import json
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import replace
from datetime import date
from pathlib import Path
from urllib.request import urlopen

import numpy as np
import pytest

from guyline.errors import JobCancelled, TerrainError
from guyline.services import terrain_download, web
from guyline.services.elevation import Terrain
from guyline.services.job import Job
from guyline.services.raster import Bounds
from guyline.services.terrain_download import fetch, survey
from guyline.services.terrain_tiles import SRTM_TYPE, tiles_of

TODAY = date(2027, 5, 1)
HERE = Bounds(west_deg=-131.9, south_deg=-41.9, east_deg=-131.1, north_deg=-41.1)
NAME = "S42W132.hgt.gz"


@pytest.fixture(scope="module")
def shelf(tmp_path_factory):
    """A folder of tiles: hills of 0 to 999 m that do not compress away."""
    folder = tmp_path_factory.mktemp("shelf")
    heights = np.random.default_rng(7).integers(0, 1000, (1201, 1201)).astype(">i2")
    packed = gzip.compress(heights.tobytes(), 1)
    (folder / NAME).write_bytes(packed)
    (folder / "S42W131.hgt.gz").write_bytes(packed)
    return folder


@pytest.fixture(scope="module")
def server(shelf):
    script = Path(__file__).with_name("tile_server.py")
    with subprocess.Popen(
        [sys.executable, str(script), str(shelf)], stdout=subprocess.PIPE, text=True
    ) as process:
        yield f"http://127.0.0.1:{int(process.stdout.readline())}"
        process.terminate()


@pytest.fixture(autouse=True)
def no_proxy(monkeypatch):
    monkeypatch.setenv("no_proxy", "127.0.0.1")
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


def tiles(server, manner, box=HERE, name=None):
    pattern = f"{server}/{manner}/{name or SRTM_TYPE.file_name}"
    return tiles_of(replace(SRTM_TYPE, url=pattern), box)


def asked(server):
    with urlopen(f"{server}/asked") as answer:
        return answer.read().decode().splitlines()


def test_a_tile_is_fetched_and_serves(server, shelf, tmp_path):
    said = []
    job = Job(lambda done, text: said.append((done, text)))
    download = fetch(tiles(server, "ok"), tmp_path, TODAY, job)
    assert download.problems == ()
    assert download.missing == ()
    assert (tmp_path / NAME).read_bytes() == (shelf / NAME).read_bytes()
    terrain = Terrain.open(download.sources, Path("/"))
    assert 0.0 <= terrain.height_amsl_m(-41.5, -131.5) <= 999.0
    assert said[-1] == (1.0, f"Fetching {NAME}")
    assert download.sources[0].licence.startswith("Terrain: ")


def test_where_a_tile_is_from_is_kept_beside_it(server, shelf, tmp_path):
    fetch(tiles(server, "ok"), tmp_path, TODAY)
    record = json.loads((tmp_path / f"{NAME}.json").read_text())
    assert record["url"] == f"{server}/ok/{NAME}"
    assert record["fetched_on"] == "2027-05-01"
    assert record["size"] == (shelf / NAME).stat().st_size
    assert record["sha256"] == hashlib.sha256((shelf / NAME).read_bytes()).hexdigest()
    assert "USGS 3DEP" in record["notice"]


def test_what_is_here_is_not_fetched_again(server, tmp_path):
    fetch(tiles(server, "ok"), tmp_path, TODAY)
    before = asked(server)
    download = fetch(tiles(server, "ok"), tmp_path, TODAY)
    assert len(download.sources) == 1
    assert asked(server) == before


def test_the_size_is_told_before(server, shelf, tmp_path):
    size = (shelf / NAME).stat().st_size
    (state,) = survey(tiles(server, "ok"), tmp_path)
    assert (state.size, state.exists, state.is_here) == (size, True, False)
    begun = tmp_path / ".fetching" / NAME
    begun.parent.mkdir()
    begun.write_bytes(b"x" * 1000)
    assert survey(tiles(server, "ok"), tmp_path)[0].size == size - 1000
    assert survey(tiles(server, "nolength"), tmp_path)[0].size is None
    assert survey(tiles(server, "404"), tmp_path)[0].exists is False
    begun.unlink()
    fetch(tiles(server, "ok"), tmp_path, TODAY)
    assert survey(tiles(server, "ok"), tmp_path)[0].is_here


def test_a_missing_tile_is_named_and_stays_unknown(server, tmp_path):
    wide = Bounds(west_deg=-132.5, south_deg=-41.9, east_deg=-131.1, north_deg=-41.1)
    download = fetch(tiles(server, "ok", wide), tmp_path, TODAY)
    assert [tile.west_deg for tile in download.missing] == [-133]
    assert len(download.sources) == 1
    terrain = Terrain.open(download.sources, Path("/"))
    assert np.isnan(terrain.height_amsl_m(-41.5, -132.4))


@pytest.mark.parametrize("manner", ["cut", "norange", "ok"])
def test_a_download_that_was_cut_goes_on_where_it_stopped(server, shelf, tmp_path, manner):
    first = fetch(tiles(server, "cut"), tmp_path, TODAY)
    assert "was cut off after" in first.problems[0]
    assert first.sources == ()
    half = (tmp_path / ".fetching" / NAME).stat().st_size
    assert 0 < half < (shelf / NAME).stat().st_size
    again = fetch(tiles(server, manner), tmp_path, TODAY)
    assert again.problems == ()
    assert (tmp_path / NAME).read_bytes() == (shelf / NAME).read_bytes()
    assert asked(server)[-1] == f"GET /{manner}/{NAME} bytes={half}-"


def test_a_part_that_is_longer_than_the_tile_is_thrown_away(server, shelf, tmp_path):
    begun = tmp_path / ".fetching" / NAME
    begun.parent.mkdir()
    begun.write_bytes(b"x" * ((shelf / NAME).stat().st_size + 5))
    assert fetch(tiles(server, "ok"), tmp_path, TODAY).problems == ()
    assert (tmp_path / NAME).read_bytes() == (shelf / NAME).read_bytes()


def test_a_part_of_something_else_does_not_stay(server, shelf, tmp_path):
    begun = tmp_path / ".fetching" / NAME
    begun.parent.mkdir()
    begun.write_bytes(b"x" * 1000)
    first = fetch(tiles(server, "ok"), tmp_path, TODAY)
    assert "is no tile of that place" in first.problems[0]
    assert not begun.exists()
    assert fetch(tiles(server, "ok"), tmp_path, TODAY).problems == ()


@pytest.mark.parametrize(
    ("manner", "name", "says"),
    [
        ("login", None, "is no tile of that place"),
        ("ok", "S42W131.hgt.gz", None),
        ("500", None, "error 500"),
        ("403", None, "error 403"),
        ("boast", None, "is said to have 1000000 MB"),
        ("302", "loop", "error 302"),
        ("302", "file", "error 302"),
        ("nolength", None, None),
        ("302", None, None),
    ],
)
def test_bad_manners_get_a_sentence_and_good_ones_a_tile(server, tmp_path, manner, name, says):
    download = fetch(tiles(server, manner, name=name), tmp_path, TODAY)
    if says is None:
        assert download.problems == ()
        assert (tmp_path / NAME).is_file()
    else:
        assert says in download.problems[0]
        assert not (tmp_path / NAME).exists()
        assert download.sources == ()


def test_a_server_that_sends_another_part_is_not_believed(server, tmp_path):
    fetch(tiles(server, "cut"), tmp_path, TODAY)
    assert "another part" in fetch(tiles(server, "shifted"), tmp_path, TODAY).problems[0]


def test_a_tile_of_another_place_is_refused(server, tmp_path):
    # what is sent opens, but its head says where it lies: a GeoTIFF of the wrong degree
    rasterio = pytest.importorskip("rasterio")
    from rasterio.transform import Affine

    path = tmp_path / "made.tif"
    with rasterio.open(
        path, "w", driver="GTiff", width=10, height=10, count=1, dtype="float32",
        crs="EPSG:4326", transform=Affine(0.1, 0, 5.0, 0, -0.1, 6.0),
    ) as raster:  # fmt: skip
        raster.write(np.zeros((10, 10), dtype=np.float32), 1)
    (tile,) = tiles_of(replace(SRTM_TYPE, file_name="made.tif"), HERE)
    with pytest.raises(TerrainError, match="no tile of that place"):
        terrain_download._refuse_lies(tile, path)
    assert not path.exists()


def test_no_server_gets_a_sentence(tmp_path):
    nobody = tiles("http://127.0.0.1:9", "ok")
    assert "refuses the connection" in fetch(nobody, tmp_path, TODAY).problems[0]
    with pytest.raises(TerrainError, match="refuses the connection"):
        survey(nobody, tmp_path)


@pytest.mark.parametrize("url", ["file:///etc/passwd", "ftp://127.0.0.1/x", "nonsense"])
def test_only_the_web_is_asked(tmp_path, url):
    (tile,) = tiles_of(replace(SRTM_TYPE, url=url), HERE)
    assert "no address of the web" in fetch([tile], tmp_path, TODAY).problems[0]


def test_a_slow_download_stops_when_asked_and_goes_on_later(server, shelf, tmp_path):
    started = threading.Event()
    job = Job(lambda done, text: started.set() if done > 0.001 else None)

    def run():
        with suppress(JobCancelled):
            fetch(tiles(server, "slow"), tmp_path, TODAY, job)

    thread = threading.Thread(target=run)
    thread.start()
    assert started.wait(10.0)
    job.cancel()
    thread.join(5.0)
    assert not thread.is_alive()
    assert not (tmp_path / NAME).exists()
    assert (tmp_path / ".fetching" / NAME).stat().st_size > 0
    assert fetch(tiles(server, "ok"), tmp_path, TODAY).problems == ()
    assert (tmp_path / NAME).read_bytes() == (shelf / NAME).read_bytes()


def test_silence_ends_in_a_sentence(tmp_path, monkeypatch):
    import socket

    monkeypatch.setattr(web, "TIMEOUT_S", 0.3)
    with socket.create_server(("127.0.0.1", 0)) as deaf:
        nobody = tiles(f"http://127.0.0.1:{deaf.getsockname()[1]}", "ok")
        assert "nothing came" in fetch(nobody, tmp_path, TODAY).problems[0]


def test_a_full_disk_is_told_before(server, tmp_path, monkeypatch):
    usage = terrain_download.shutil.disk_usage(tmp_path)._replace(free=1_000_000)
    monkeypatch.setattr(terrain_download.shutil, "disk_usage", lambda path: usage)
    assert "only 1 MB are free" in fetch(tiles(server, "ok"), tmp_path, TODAY).problems[0]


def test_one_bad_tile_does_not_stop_the_others(server, tmp_path):
    bad, good = tiles(server, "login")[0], tiles(server, "ok")[0]
    neighbour = replace(bad, west_deg=-131)
    download = fetch([neighbour, good], tmp_path, TODAY)
    assert len(download.problems) == 1
    assert [Path(source.path).name for source in download.sources] == [NAME]
