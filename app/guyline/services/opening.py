"""Opens a plan with the terrain it names, or a copy of the demo plan."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import as_file
from pathlib import Path
from shutil import copytree

from guyline.core.plan import Plan
from guyline.errors import CatalogueError, PlanFileError
from guyline.services.assessment import Assessor
from guyline.services.catalogues import own_catalogues
from guyline.services.elevation import Terrain
from guyline.services.map_layers import MapLayers
from guyline.services.plan_files import SUFFIX, load_plan
from guyline.services.resource_files import shipped

DEMO = "ullerby_sound"
"""Folder of the demo plan that opens by itself; the others are opened like any plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedPlan:
    """A plan as it came from its file, with what is needed to assess it."""

    plan: Plan
    path: Path
    terrain: Terrain
    assessor: Assessor
    catalogue_problem: str = ""
    """Why the user's own tables are left out."""

    @property
    def problems(self) -> tuple[str, ...]:
        """What could not be read beside the plan itself, and what to do about it."""
        own = (self.catalogue_problem,) if self.catalogue_problem else ()
        return (*self.terrain.problems, *own)


def open_plan(path: Path) -> OpenedPlan:
    """Read a plan file and open its terrain; terrain that is missing stays unknown.

    Raises
    ------
    PlanFileError
        The file cannot be read as a plan.
    """
    plan = load_plan(path)
    return opened_over(plan, path, path.resolve().parent)


def opened_over(plan: Plan, path: Path, folder: Path) -> OpenedPlan:
    """Open what a plan needs beside itself; files are found from `folder`.

    Tables of the user's that are not right must not keep a plan shut: the shipped ones serve.
    """
    terrain = Terrain.of_plan(plan, folder)
    layers = MapLayers(folder, is_home=path.exists())
    try:
        assessor, problem = Assessor(terrain, catalogues=own_catalogues(), layers=layers), ""
    except CatalogueError as error:
        assessor, problem = Assessor(terrain, layers=layers), f"{error} {error.advice}".strip()
    return OpenedPlan(
        plan=plan, path=path, terrain=terrain, assessor=assessor, catalogue_problem=problem
    )


def demo_copy(folder: Path) -> Path:
    """Copy the demo plan into a new folder below `folder` and return the plan file's path.

    A copy that is there already is kept with all that was done to it.

    Raises
    ------
    PlanFileError
        The folder cannot be written.
    """
    with as_file(shipped("demo_projects")) as demos:
        source = demos / DEMO
        target = folder / source.name
        if not target.exists():
            try:
                folder.mkdir(parents=True, exist_ok=True)
                copytree(source, target)
            except OSError as error:
                raise PlanFileError(
                    f"The demo plan could not be copied to {target}: {error.strerror}.",
                    advice="Choose a folder that you may write to, or free some space.",
                ) from error
    return min(target.glob(f"*{SUFFIX}"))
