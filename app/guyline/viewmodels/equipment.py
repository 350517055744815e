"""Choosing equipment and rules from the catalogues: one entry fills in all its numbers."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from guyline.core.plan import Antenna, Battery, Chemistry, Feeder, Panel, Radio
from guyline.errors import InputError
from guyline.services.catalogues import Catalogues, usable_catalogues

NONE, OTHER, CHANGED = "none", "other", ", changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Chooser:
    """How the rows of one table are taken into the plan.

    Attributes
    ----------
    rows
        The table, by key.
    take
        Gives the plan's value for a row, keeping of the old value what no catalogue knows.
    empty
        What "none" stands for.
    blank
        What "other" stands for: numbers that are to be entered by hand.
    free
        What may differ from the row without being called changed.
    """

    rows: Callable[[Catalogues], Mapping[str, Any]]
    take: Callable[[Any, Any], object]
    empty: Callable[[Any], object]
    blank: Callable[[Any], object]
    free: tuple[str, ...] = ()

    @property
    def titles(self) -> tuple[str, ...]:
        return (NONE, *(row.name for row in self.rows(usable_catalogues()).values()), OTHER)

    def shown(self, value: object) -> str:
        """Return the name of the row that `value` was taken from."""
        if value is None or value == self.empty(value):
            return ""
        rows = self.rows(usable_catalogues())
        for row in rows.values():
            if self._is_taken_from(value, row):
                return str(row.name)
        row = rows.get(getattr(value, "catalogue_key", ""))
        return OTHER if row is None else f"{row.name}{CHANGED}"

    def _is_taken_from(self, value: Any, row: Any) -> bool:
        taken: Any = self.take(value, row)
        return bool(replace(taken, **{name: getattr(value, name) for name in self.free}) == value)

    def chosen(self, old: object, title: str) -> object:
        """Return the plan's value for a row's name or key.

        Raises
        ------
        InputError
            The table has no such row.
        """
        if title.casefold() in ("", NONE):
            return self.empty(old)
        if title == self.shown(old):
            return old
        if title.casefold() == OTHER:
            return self.blank(old)
        for key, row in self.rows(usable_catalogues()).items():
            if title.casefold() in (key.casefold(), row.name.casefold()):
                return self.take(old, row)
        raise InputError(
            f"'{title}' is not in the catalogue.",
            advice="Choose an entry of the list, or 'other' and enter its numbers.",
        )


def _radio(old: Radio, row: Any) -> Radio:
    return row.to_radio(identifier=old.identifier)  # type: ignore[no-any-return]


def _antenna(old: Antenna, row: Any) -> Antenna:
    return row.to_antenna(old.azimuth_deg, old.tilt_deg)  # type: ignore[no-any-return]


def _feeder(old: Feeder, row: Any) -> Feeder:
    taken: Feeder = row.to_feeder(old.length_m, old.joints, old.has_arrestor)
    return replace(taken, near_port=old.near_port, far_port=old.far_port)


def _battery(old: Battery | None, row: Any) -> Battery:
    taken: Battery = row.to_battery()
    if old is None:
        return taken
    return replace(
        taken,
        health_fraction=old.health_fraction,
        charge_fraction=old.charge_fraction,
        is_tested=old.is_tested,
    )


def _panel(old: Panel | None, row: Any) -> Panel:
    return replace(old or Panel(), stc_w=row.stc_w)


def _nothing(old: object) -> None:
    return None


def proposed_names(catalogue: str) -> tuple[str, ...]:
    """Return what a table proposes for a text that may also be something else."""
    if catalogue != "connectors":
        return ()
    return tuple(row.name for row in usable_catalogues().connectors.values())


CHOOSERS: Mapping[str, Chooser] = {
    "radios": Chooser(
        rows=lambda tables: tables.radios,
        take=_radio,
        empty=lambda old: Radio(identifier=old.identifier),
        blank=lambda old: replace(old, catalogue_key="", source="entered by hand"),
        free=("tx_power_dbm", "port", "source"),
    ),
    "antennas": Chooser(
        rows=lambda tables: tables.antennas,
        take=_antenna,
        empty=lambda old: Antenna(azimuth_deg=old.azimuth_deg, tilt_deg=old.tilt_deg),
        blank=lambda old: replace(old, catalogue_key="", source="entered by hand"),
        free=("port", "source"),
    ),
    "feeders": Chooser(
        rows=lambda tables: tables.feeders,
        take=_feeder,
        empty=lambda old: Feeder(length_m=old.length_m, joints=old.joints),
        blank=lambda old: replace(old, catalogue_key="", source="entered by hand"),
        free=("source",),
    ),
    "batteries": Chooser(
        rows=lambda tables: tables.batteries,
        take=_battery,
        empty=_nothing,
        blank=lambda old: old or Battery(chemistry=Chemistry.LIFEPO4),
    ),
    "panels": Chooser(
        rows=lambda tables: tables.panels,
        take=_panel,
        empty=_nothing,
        blank=lambda old: old or Panel(),
    ),
    "band_plans": Chooser(
        rows=lambda tables: tables.band_plans,
        take=lambda old, row: row.to_rule(),
        empty=_nothing,
        blank=lambda old: old,
    ),
}
