"""The tables of equipment, kit and band plans, shipped and the user's own."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources.abc import Traversable
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, TypeVar

import platformdirs

from guyline.core.plan import ChecklistItem, PowerSource, SiteFunction
from guyline.errors import CatalogueError
from guyline.services.resource_files import shipped

if TYPE_CHECKING:  # pydantic costs a start 0.2 s; it is loaded with the first table
    from pydantic import ValidationError

    from guyline.services.catalogue_rows import (
        AntennaType,
        BandPlanRow,
        BatteryType,
        CatalogueRow,
        ConnectorType,
        ControllerType,
        FeederType,
        KeyedRow,
        KitRow,
        PanelType,
        RadioType,
    )

Row = TypeVar("Row", bound="CatalogueRow")
Keyed = TypeVar("Keyed", bound="KeyedRow")
Folder = Traversable | Path

FILE_NAMES = (
    "radios.csv",
    "antennas.csv",
    "feeders.csv",
    "connectors.csv",
    "batteries.csv",
    "panels.csv",
    "controllers.csv",
    "kits.csv",
    "band_plans.csv",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogues:
    """All tables, rows by key in the order of the files."""

    radios: Mapping[str, RadioType]
    antennas: Mapping[str, AntennaType]
    feeders: Mapping[str, FeederType]
    connectors: Mapping[str, ConnectorType]
    batteries: Mapping[str, BatteryType]
    panels: Mapping[str, PanelType]
    controllers: Mapping[str, ControllerType]
    kits: tuple[KitRow, ...]
    band_plans: Mapping[str, BandPlanRow]

    def kit_for(
        self, function: SiteFunction, power_source: PowerSource
    ) -> tuple[ChecklistItem, ...]:
        """Return the checklist a site of that function and power source starts with.

        An unknown power source gives the kit without any power: the finding says so, not the list.
        """
        rows = [row for row in self.kits if row.serves(function, power_source)]
        return tuple(row.to_item() for row in sorted(rows, key=lambda row: not row.is_critical))

    def antennas_for(self, frequency_hz: float) -> Mapping[str, AntennaType]:
        """Return the antennas made for a frequency."""
        return {key: row for key, row in self.antennas.items() if row.covers(frequency_hz)}

    def band_plans_for(
        self, frequency_hz: float, bandwidth_hz: float = 0.0
    ) -> tuple[BandPlanRow, ...]:
        """Return the entered limits whose band holds the signal; none means limit not entered."""
        return tuple(
            row for row in self.band_plans.values() if row.holds(frequency_hz, bandwidth_hz)
        )


def load_catalogues(user_folder: Path | None = None) -> Catalogues:
    """Return the shipped tables together with the user's own.

    Parameters
    ----------
    user_folder : Path, optional
        Folder with files of the same names and columns, whose rows are added; a missing folder
        or file adds nothing.

    Raises
    ------
    CatalogueError
        A row is incomplete, has no source, or repeats a key. The message names file and row.
    """
    from guyline.services import catalogue_rows as rows

    folders: list[Folder] = [shipped("resources") / "tables"]
    if user_folder is not None and user_folder.is_dir():
        _refuse_unknown_files(user_folder)
        folders.append(user_folder)
    return Catalogues(
        radios=_keyed(folders, "radios.csv", rows.RadioType),
        antennas=_keyed(folders, "antennas.csv", rows.AntennaType),
        feeders=_keyed(folders, "feeders.csv", rows.FeederType),
        connectors=_keyed(folders, "connectors.csv", rows.ConnectorType),
        batteries=_keyed(folders, "batteries.csv", rows.BatteryType),
        panels=_keyed(folders, "panels.csv", rows.PanelType),
        controllers=_keyed(folders, "controllers.csv", rows.ControllerType),
        kits=tuple(row for _, row in _rows(folders, "kits.csv", rows.KitRow)),
        band_plans=_keyed(folders, "band_plans.csv", rows.BandPlanRow),
    )


@cache
def shipped_catalogues() -> Catalogues:
    """Return the shipped tables alone, read once."""
    return load_catalogues()


@cache
def own_catalogues() -> Catalogues:
    """Return the shipped tables with the user's own, read once.

    Raises
    ------
    CatalogueError
        A table of the user's is not right; the message names file and row.
    """
    return load_catalogues(own_folder())


@cache
def usable_catalogues() -> Catalogues:
    """Return the shipped tables with the user's own, or without them where they are not right.

    What is wrong is told when a plan is opened.
    """
    try:
        return own_catalogues()
    except CatalogueError:
        return shipped_catalogues()


def own_folder() -> Path:
    """Return where the user's own tables lie, or may be put."""
    return Path(platformdirs.user_config_dir("guyline", appauthor=False)) / "catalogues"


def _refuse_unknown_files(folder: Path) -> None:
    for path in sorted(folder.glob("*.csv")):
        if path.name not in FILE_NAMES:
            raise CatalogueError(
                f"{path}: no catalogue has this name.",
                advice=f"Name the file one of: {', '.join(FILE_NAMES)}.",
            )


def _keyed(folders: Iterable[Folder], name: str, row_type: type[Keyed]) -> Mapping[str, Keyed]:
    by_key: dict[str, Keyed] = {}
    for where, row in _rows(folders, name, row_type):
        if row.key in by_key:
            raise CatalogueError(
                f"{where}: the key {row.key} stands already.",
                advice="Give the row a key that no other row of this table has.",
            )
        by_key[row.key] = row
    return MappingProxyType(by_key)


def _rows(folders: Iterable[Folder], name: str, row_type: type[Row]) -> Iterable[tuple[str, Row]]:
    for folder in folders:
        file = folder / name
        if not file.is_file():
            continue
        for where, cells in _cells(file, str(file)):
            yield where, _row(cells, where, row_type)


def _cells(file: Folder, shown: str) -> Iterable[tuple[str, dict[str, str]]]:
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise CatalogueError(
            f"{shown} cannot be read: {error}.",
            advice="Save the table as CSV in UTF-8, in a place you may read.",
        ) from error
    header = text.partition("\n")[0]
    delimiter = ";" if header.count(";") > header.count(",") else ","
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter, restkey="")
    try:
        for cells in reader:
            yield f"{shown}, row {reader.line_num}", cells
    except csv.Error as error:
        raise CatalogueError(
            f"{shown}, row {reader.line_num}: {error}.",
            advice="Save the table as plain CSV with one line a row.",
        ) from error


def _row(cells: dict[str, str], where: str, row_type: type[Row]) -> Row:
    from pydantic import ValidationError

    if "" in cells:
        raise CatalogueError(
            f"{where}: more cells than columns.",
            advice="Put quotation marks round a cell that holds the separator.",
        )
    filled = {column: cell for column, cell in cells.items() if cell and cell.strip()}
    try:
        return row_type.model_validate(filled)
    except ValidationError as error:
        raise _refusal(where, error) from error


def _refusal(where: str, error: ValidationError) -> CatalogueError:
    first = error.errors()[0]
    column = ".".join(str(part) for part in first["loc"])
    missing = first["type"] in ("missing", "string_too_short")
    if missing and column == "source":
        return CatalogueError(
            f"{where}: the row has no source.",
            advice="Write in the column source where the figures are from, "
            "or 'common practice, no source'.",
        )
    what = "is missing" if missing else first["msg"].removeprefix("Value error, ")
    return CatalogueError(
        f"{where}: {column + ' ' if column else ''}{what}.",
        advice="Mend that cell, or take the row out.",
    )
