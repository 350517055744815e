"""Whole files in and out of a plan file: what the commands and the window both do."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath, PureWindowsPath

from guyline.core.plan import Plan, TerrainSource
from guyline.errors import InputError
from guyline.services.backups import backups_of, keep_backup
from guyline.services.interchange import lines_of_plan, places_of_plan, write_places
from guyline.services.opening import open_plan
from guyline.services.place_import import (
    SentFile,
    Understood,
    summary,
    told_deed,
    understood,
    with_choices,
)
from guyline.services.plan_files import SUFFIX, load_plan, save_plan
from guyline.services.plan_lock import PlanLock
from guyline.services.share_copy import share_copy


@dataclass(frozen=True, slots=True, kw_only=True)
class Imported:
    """What an import came to; `path` is the plan file that has it now."""

    found: Understood
    path: Path


def import_places(plan_path: Path, places_path: Path, out: Path | None = None) -> Imported:
    """Take the places of a file into a plan file, or into a new one beside it.

    Raises
    ------
    GuylineError
        A file cannot be read, or the plan cannot be written; nothing is changed then.
    """
    opened = open_plan(plan_path)
    sent = SentFile(name=places_path.name, path=places_path)
    found = understood(sent, opened.plan, opened.terrain)
    if found.refusal is not None:
        raise found.refusal
    target = plan_path if out is None else _plan_name(out)
    after = with_choices(opened.plan, found.taken)
    if target.resolve() != plan_path.resolve():
        save_plan(seen_from(after, plan_path, target), target)
    elif after != opened.plan:
        _save_over(after, target)
    return Imported(found=found, path=target)


def _save_over(plan: Plan, path: Path) -> None:
    """Save a plan that no window holds, after a backup copy of what its file held."""
    lock = PlanLock(path)
    lock.take()
    try:
        keep_backup(path)
        save_plan(plan, path)
    finally:
        lock.release()


def seen_from(plan: Plan, old: Path | None, new: Path) -> Plan:
    """Return a plan whose elevation and map files are still found from its new place."""
    if old is None or old.resolve().parent == new.resolve().parent:
        return plan
    folder = old.resolve().parent

    def placed(source: TerrainSource) -> TerrainSource:
        return replace(source, path=(folder / source.path).as_posix())

    cover = plan.land_cover_path
    return replace(
        plan,
        terrain_sources=tuple(map(placed, plan.terrain_sources)),
        land_cover_path=(folder / cover).as_posix() if cover else "",
        map_layers=tuple(
            replace(known, path=(folder / known.path).as_posix()) for known in plan.map_layers
        ),
    )


def export_places(plan: Plan, out: Path) -> int:
    """Write the sites and links of a plan that have a place, and return how many sites those are.

    Raises
    ------
    InputError
        No site has a position, or the file's ending names no kind that is written here.
    PlanFileError
        It cannot be written.
    """
    places = places_of_plan(plan)
    if not places:
        raise InputError("No site has a position yet.", advice="Enter or import positions first.")
    write_places(out, places, lines_of_plan(plan))
    return len(places)


def write_share_copy(plan: Plan, out: Path) -> None:
    """Write a plan without telephone numbers, key holders and gate codes.

    Elevation files are named without their folder, which may name a person.

    Raises
    ------
    PlanFileError
        It cannot be written.
    """
    shared = share_copy(plan)
    sources = tuple(replace(s, path=_bare_path(s.path)) for s in shared.terrain_sources)
    cover = _bare_path(shared.land_cover_path)
    layers = tuple(replace(k, path=_bare_path(k.path)) for k in shared.map_layers)
    save_plan(
        replace(shared, terrain_sources=sources, land_cover_path=cover, map_layers=layers),
        _plan_name(out),
    )


def _bare_path(path: str) -> str:
    is_absolute = PurePosixPath(path).is_absolute() or PureWindowsPath(path).is_absolute()
    return PureWindowsPath(path).name if is_absolute else path


def share_plan_file(plan_path: Path, out: Path) -> None:
    """Write the share copy of a plan file, never over the plan itself.

    Raises
    ------
    GuylineError
        The plan cannot be read, or the copy not written.
    """
    if out.resolve() == plan_path.resolve():
        raise InputError(
            "The copy would replace the plan itself.", advice="Choose another name for the copy."
        )
    write_share_copy(load_plan(plan_path), out)


def earlier_copy(plan_path: Path) -> Path:
    """Return the newest backup copy of a plan file.

    Raises
    ------
    InputError
        There is none.
    """
    copies = backups_of(plan_path)
    if not copies:
        raise InputError(
            f"There is no backup copy of {plan_path.name}.", advice="Name the earlier file too."
        )
    return copies[0]


def _plan_name(path: Path) -> Path:
    if not path.name.endswith(SUFFIX):
        raise InputError(
            f"{path.name} is no name of a plan file.", advice=f"End the name in {SUFFIX}."
        )
    return path


def report_lines(imported: Imported) -> tuple[str, ...]:
    """Return what became of every place, in words for a terminal."""
    found = imported.found
    lines = [f"{summary(found.taken)} from {found.name}."]
    for choice in found.choices:
        lines.append(f"  {choice.site_id}: {told_deed(choice)}")
        lines += [f"    doubt: {doubt.message}" for doubt in choice.proposal.doubts]
    lines += [f"  not read: {problem}" for problem in found.problems]
    return tuple(lines)
