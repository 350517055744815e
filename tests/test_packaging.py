"""The wheel carries exactly the resources of the checkout."""

from __future__ import annotations

from pathlib import Path
from zipfile import ZipFile

from hatchling.builders.wheel import WheelBuilder

ROOT = Path(__file__).parents[1]


def test_the_wheel_ships_every_resource_and_demo(tmp_path):
    (wheel,) = WheelBuilder(str(ROOT)).build(directory=str(tmp_path), versions=["standard"])
    shipped = {
        name.removeprefix("guyline/")
        for name in ZipFile(wheel).namelist()
        if name.startswith(("guyline/resources/", "guyline/demo_projects/"))
    }
    kept = {
        path.relative_to(ROOT).as_posix()
        for top in ("resources", "demo_projects")
        for path in (ROOT / top).rglob("*")
        if path.is_file()
        and not any(part.startswith((".", "__pycache__")) for part in path.relative_to(ROOT).parts)
    }
    assert kept
    assert shipped == kept
