"""Takes rows from a spreadsheet into the plan, and gives rows back to one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from guyline.core.plan import Plan, Position, Site, SiteId
from guyline.errors import InputError
from guyline.services.coordinates import read_coordinates
from guyline.viewmodels.fields import edited, in_units, read_number, shown
from guyline.viewmodels.site_columns import COLUMNS, SITE_ID, Column, SiteRow
from guyline.viewmodels.site_fields import SITE_FIELDS

_UNIT = re.compile(r"\[([^\]]+)\]")
_LATITUDE, _LONGITUDE = "latitude", "longitude"
_OTHER_HEADINGS = {
    "identifier": "site_id",
    "site id": "site_id",
    "id": "site_id",
    "site": "site_id",
    "latitude": _LATITUDE,
    "lat": _LATITUDE,
    "longitude": _LONGITUDE,
    "long": _LONGITUDE,
    "lon": _LONGITUDE,
    "lng": _LONGITUDE,
    "height": "antenna_agl_m",
    "role": "function",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pasted:
    """The plan with the rows taken in, and what happened to which."""

    plan: Plan
    added: tuple[SiteId, ...] = ()
    changed: tuple[SiteId, ...] = ()
    problems: tuple[str, ...] = ()
    """One sentence for each row or cell that was left out."""

    @property
    def step(self) -> str:
        """The name of the undoable step."""
        return f"Paste {len(self.added) + len(self.changed)} sites"

    @property
    def summary(self) -> str:
        taken = f"Pasted: {len(self.added)} new, {len(self.changed)} changed."
        if not self.problems:
            return taken
        return f"{taken} Left out: {' '.join(self.problems[:3])}" + (
            f" And {len(self.problems) - 3} more." if len(self.problems) > 3 else ""
        )


def cells_of(text: str) -> list[list[str]]:
    """Return the rows of tab-separated text; empty lines at its end are no rows."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").rstrip("\n").split("\n")
    return [[cell.strip() for cell in line.split("\t")] for line in lines]


def paste(plan: Plan, text: str, at: tuple[Sequence[SiteId], int]) -> Pasted:
    """Return the plan with tab-separated text taken in.

    Parameters
    ----------
    plan : Plan
        The plan as it is.
    text : str
        As a spreadsheet copies it. Under a row of headings that names the identifier,
        rows of new identifiers become new sites. Without headings the cells are laid
        over those from `at` on; one single cell goes to every site of `at`.
    at : (sequence of SiteId, int)
        The sites from the chosen one downward, as they are shown, and the chosen column.
    """
    rows = cells_of(text)
    headings = _headings(rows[0])
    if headings is not None:
        return _paste_table(plan, headings, [_unit_of(cell) for cell in rows[0]], rows[1:])
    sites, first_column = at
    if len(rows) == 1 and len(rows[0]) == 1:
        rows = rows * len(sites)
    return _paste_block(plan, rows, sites, first_column)


def copied(plan: Plan, site_ids: Iterable[SiteId]) -> str:
    """Return sites as tab-separated text under a row of headings that `paste` understands."""
    columns = [column for column in COLUMNS if column.field is not None]
    lines = ["\t".join(_heading(plan, column) for column in columns)]
    for site_id in site_ids:
        row = SiteRow(plan.site(site_id), plan, None)
        lines.append("\t".join(_copied_cell(column, row) for column in columns))
    return "\n".join(lines) + "\n"


def _copied_cell(column: Column, row: SiteRow) -> str:
    field = column.field_in(row.plan)
    text = shown(field, row.site) if field else ""
    return text.replace("\t", " ").replace("\n", " ")


def _heading(plan: Plan, column: Column) -> str:
    """The column's title with its unit, so that it is read aright under another setting."""
    field = column.field_in(plan)
    return f"{column.title} [{field.unit}]" if field and field.unit else column.title


def _headings(cells: Sequence[str]) -> list[str | None] | None:
    """Return the key of each column, None for unknown ones; no keys unless one is the site's."""
    keys = [_key_of(cell) for cell in cells]
    known = sum(key is not None for key in keys)
    return keys if "site_id" in keys and known * 2 >= len(keys) and known > 1 else None


def _key_of(heading: str) -> str | None:
    name = heading.casefold().partition("[")[0].partition("(")[0].strip()
    if name in _OTHER_HEADINGS:
        return _OTHER_HEADINGS[name]
    titles = {c.title.casefold(): c.key for c in COLUMNS if c.field is not None}
    titles |= {field.title.casefold(): path for path, field in SITE_FIELDS.items()}
    titles |= {path.casefold(): path for path in SITE_FIELDS} | {"site_id": "site_id"}
    return titles.get(name)


def _unit_of(heading: str) -> str:
    """The unit that a heading names in brackets, nothing where it names none."""
    found = _UNIT.search(heading)
    return found.group(1).strip() if found else ""


def _with_unit(cell: str, unit: str) -> str:
    """A bare number with the unit of its column, anything else as it is."""
    bare = cell[:1].isdigit() or cell[:1] in "+-.\N{MINUS SIGN}"
    return f"{cell} {unit}" if unit and bare and cell[-1:].isdigit() else cell


def _paste_table(
    plan: Plan, keys: Sequence[str | None], units: Sequence[str], rows: list[list[str]]
) -> Pasted:
    result = Pasted(plan=plan)
    problems: list[str] = []
    for number, cells in enumerate(rows, 2):
        values = {
            key: _with_unit(cell, unit)
            for key, cell, unit in zip(keys, cells, units, strict=False)
            if key and cell
        }
        site_id = SiteId(values.pop("site_id", ""))
        if not site_id:
            problems += [f"Row {number} has no identifier."] if any(cells) else []
            continue
        is_new = not result.plan.has_site(site_id)
        site = Site(site_id=site_id) if is_new else result.plan.site(site_id)
        site, wrong = _filled(plan, site, values)
        problems += [f"Row {number}, {site_id}: {sentence}" for sentence in wrong]
        result = _with_row(result, site, is_new)
    return replace(result, problems=tuple(problems))


def _with_row(result: Pasted, site: Site, is_new: bool) -> Pasted:
    if is_new:
        added = (*result.added, site.site_id)
        return replace(result, plan=result.plan.adding_site(site), added=added)
    if site == result.plan.site(site.site_id):
        return result
    changed = (*result.changed, site.site_id)
    return replace(result, plan=result.plan.with_site(site), changed=changed)


def _filled(plan: Plan, site: Site, values: dict[str, str]) -> tuple[Site, list[str]]:
    """Return the site with what could be read, and a sentence for each value that could not."""
    problems = []
    latitude, longitude = values.pop(_LATITUDE, ""), values.pop(_LONGITUDE, "")
    if latitude or longitude:
        try:
            position = _position(latitude, longitude)
            site = replace(site, position=position)
        except InputError as error:
            problems.append(str(error))
    for key, text in values.items():
        try:
            site = edited(in_units(SITE_FIELDS[key], plan.incident.units), site, text)
        except InputError as error:
            problems.append(str(error))
    return site, problems


def _position(latitude: str, longitude: str) -> Position:
    place = read_coordinates(f"{_with_point(latitude)}, {_with_point(longitude)}")[0]
    return Position(lat_deg=place.lat_deg, lon_deg=place.lon_deg, source="pasted table")


def _with_point(angle: str) -> str:
    """Return a plain number with a decimal point, anything else as it is."""
    try:
        return repr(read_number(angle))
    except InputError:
        return angle


def _paste_block(
    plan: Plan, rows: list[list[str]], sites: Sequence[SiteId], first_column: int
) -> Pasted:
    result = Pasted(plan=plan)
    problems = [
        f"Row {number} has no site to go to." for number in range(len(sites) + 1, len(rows) + 1)
    ]
    for number, (site_id, cells) in enumerate(zip(sites, rows, strict=False), 1):
        site = plan.site(site_id)
        for column, cell in zip(COLUMNS[first_column:], cells, strict=False):
            try:
                site = _with_cell(plan, site, column, cell)
            except InputError as error:
                problems.append(f"Row {number}, {site_id}: {error}")
        result = _with_row(result, site, is_new=False)
    return replace(result, problems=tuple(problems))


def _with_cell(plan: Plan, site: Site, column: Column, text: str) -> Site:
    field = column.field_in(plan)
    if field is None or field is SITE_ID:
        raise InputError(f"{column.title} cannot be pasted over.")
    return edited(field, site, text)
