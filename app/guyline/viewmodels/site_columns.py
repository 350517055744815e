"""The columns of the site table, as rows of data."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from guyline.core.plan import (
    Gate,
    Plan,
    Site,
)
from guyline.core.readiness.assessment import SiteAssessment
from guyline.core.readiness.finding import (
    Verdict,
    severity,
)
from guyline.viewmodels.fields import Field, in_units, number, shown, shown_with_unit
from guyline.viewmodels.site_fields import SITE_FIELDS
from guyline.viewmodels.site_summaries import (
    kit_text,
    permission_text,
    power_text,
    weakest_link_text,
)

SortValue = float | str


@dataclass(frozen=True, slots=True)
class SiteRow:
    """A site and what is said of it; `assessed` is None until it has been looked at."""

    site: Site
    plan: Plan
    assessed: SiteAssessment | None

    @property
    def verdict(self) -> Verdict:
        return Verdict.NOT_ASSESSED if self.assessed is None else self.assessed.verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column; with a `field` it is edited in place, without it is worked out.

    `gate` gives the cell the mark of that part of the verdict.
    """

    key: str
    title: str
    width: int
    text: Callable[[SiteRow], str]
    sort_value: Callable[[SiteRow], SortValue]
    field: Field | None = None
    gate: Gate | None = None
    is_numeric: bool = False
    tip: str = ""

    def field_in(self, plan: Plan) -> Field | None:
        """The field in the units of a plan; None where the column is worked out."""
        return None if self.field is None else in_units(self.field, plan.incident.units)

    @property
    def is_editable(self) -> bool:
        return self.field is not None


SITE_ID = Field(path="site_id", title="Site", can_be_unknown=False, tip="Identifier of the site")


def _verdict_rank(row: SiteRow) -> SortValue:
    return severity(row.verdict)


def _margin(row: SiteRow) -> SortValue:
    weakest = row.assessed.weakest_link if row.assessed else None
    if weakest is None or weakest.margin_db is None:
        return float("-inf")
    return weakest.margin_db


def _power_rank(row: SiteRow) -> SortValue:
    """Order by lacking first, then by the chance of lasting the mission."""
    power = row.assessed.power if row.assessed else None
    if power is None or power.lacks_power is None:
        return -1.0
    if power.lacks_power:
        return -1_000.0 - (power.shortfall_wh_per_day or 0.0)
    return power.survival_probability if power.survival_probability is not None else 1.0


def _summary(
    key: str,
    title: str,
    width: int,
    text: Callable[[SiteRow], str],
    gate: Gate,
    sort_value: Callable[[SiteRow], SortValue] | None = None,
    tip: str = "",
) -> Column:
    return Column(
        key=key,
        title=title,
        width=width,
        text=text,
        sort_value=sort_value or text,
        gate=gate,
        tip=tip,
    )


def _assessed(text: Callable[[SiteAssessment, SiteRow], str]) -> Callable[[SiteRow], str]:
    return lambda row: "…" if row.assessed is None else text(row.assessed, row)


def _edited(path: str, width: int, title: str = "") -> Column:
    field = SITE_FIELDS[path]

    def sort_value(row: SiteRow) -> SortValue:
        if not field.is_numeric:
            return shown(field, row.site).casefold()
        value = number(field, row.site)
        return float("-inf") if value is None else value

    return Column(
        key=path,
        title=title or field.title,
        width=width,
        text=lambda row: shown_with_unit(in_units(field, row.plan.incident.units), row.site),
        sort_value=sort_value,
        field=field,
        is_numeric=field.is_numeric,
        tip=field.tip,
    )


COLUMNS: tuple[Column, ...] = (
    Column(
        key="verdict",
        title="Verdict",
        width=120,
        text=lambda row: row.verdict.value,
        sort_value=_verdict_rank,
        tip="Whether the site can be built now",
    ),
    Column(
        key="site_id",
        title="Site",
        width=112,
        text=lambda row: row.site.site_id,
        sort_value=lambda row: row.site.site_id.casefold(),
        field=SITE_ID,
        tip="Identifier and name",
    ),
    _summary(
        "weakest_link",
        "Weakest link",
        128,
        _assessed(lambda assessed, row: weakest_link_text(assessed)),
        Gate.RADIO,
        _margin,
        "Least margin of the site's links, in the weaker direction",
    ),
    _summary(
        "power",
        "Power",
        128,
        _assessed(lambda assessed, row: power_text(assessed.power, row.plan)),
        Gate.POWER,
        _power_rank,
        "Whether the site lasts the mission",
    ),
    _summary("kit", "Kit", 96, lambda row: kit_text(row.site), Gate.KIT),
    _summary(
        "permission", "Permission", 112, lambda row: permission_text(row.site), Gate.PERMISSION
    ),
    _edited("function", 88),
    _edited("name", 144),
    _edited("antenna_agl_m", 96, "Antenna height"),
    _edited("radio.tx_power_dbm", 96),
    _edited("antenna", 144),
    _edited("antenna.gain_dbi", 96),
    _edited("antenna.azimuth_deg", 96),
    _edited("feeder", 144),
    _edited("feeder.length_m", 96),
    _edited("radio", 144),
    _edited("radio.identifier", 112),
    _edited("power.source", 136),
    _edited("power.battery.capacity_wh", 80),
    _edited("power.battery.chemistry", 112),
    _edited("power.panel.stc_w", 72),
    _edited("packets_per_hour", 104),
    _edited("ground_amsl_m", 104),
    _edited("position", 152),
    _edited("permission.is_granted", 128),
    _edited("permission.key_holder", 128),
    _edited("notes", 240),
)


def column_index(key: str) -> int:
    """Return the place of a column."""
    return next(i for i, column in enumerate(COLUMNS) if column.key == key)
