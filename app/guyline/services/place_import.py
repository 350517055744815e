"""Places on their way into a plan: understood, doubted, and what each of them would change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from enum import Enum
from pathlib import Path

from guyline.core.plan import Plan, Position, Site, SiteId
from guyline.errors import InputError
from guyline.services.coordinates import DoubtCode
from guyline.services.elevation import Terrain
from guyline.services.geodesy import inverse
from guyline.services.interchange import (
    FORMATS,
    Column,
    CsvTable,
    Place,
    PlacesRead,
    Proposal,
    file_bytes,
    guessed_columns,
    places_of_lines,
    places_of_table,
    proposals,
    read_places,
    read_table,
    text_of,
)
from guyline.services.job import Job
from guyline.services.wording import counted

TABLES = (".csv", ".txt", ".tsv")
SAME_M = 0.05  # files round to a centimetre; less is no move


class Deed(Enum):
    """What is done with an imported place."""

    ADD = "new site"
    UPDATE = "update"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How people want a file to be read; None is guessed."""

    separator: str | None = None
    decimal_comma: bool | None = None
    columns: tuple[Column | None, ...] | None = None
    keep_heights: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One imported place with what it may become.

    Attributes
    ----------
    updated
        The site of the plan that seems to be the same, with what the file tells of it; None
        where the plan has no such site.
    told
        What an update would change, in words; empty where that is nothing.
    """

    proposal: Proposal
    updated: Site | None = None
    told: tuple[str, ...] = ()
    deed: Deed = Deed.ADD
    is_taken: bool = True

    @property
    def deeds(self) -> tuple[Deed, ...]:
        return (Deed.ADD,) if self.updated is None else (Deed.UPDATE, Deed.ADD)

    @property
    def is_known(self) -> bool:
        """Whether the plan has all of it already."""
        return self.updated is not None and not self.told

    @property
    def site_id(self) -> SiteId:
        """The site that it would make or change."""
        if self.deed is Deed.UPDATE and self.updated is not None:
            return self.updated.site_id
        return self.proposal.site.site_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """A file as it was understood; `refusal` is why a table gives no places yet."""

    name: str
    choices: tuple[Choice, ...] = ()
    problems: tuple[str, ...] = ()
    table: CsvTable | None = None
    columns: tuple[Column | None, ...] = ()
    refusal: InputError | None = None

    @property
    def taken(self) -> tuple[Choice, ...]:
        return tuple(choice for choice in self.choices if choice.is_taken)


@dataclass(frozen=True, slots=True, kw_only=True)
class SentFile:
    """Places as somebody sent them: a file, or a text from the clipboard."""

    name: str
    path: Path | None = None
    data: bytes = field(default=b"", repr=False)


def understood(
    sent: SentFile,
    plan: Plan,
    terrain: Terrain | None = None,
    reading: Reading | None = None,
    job: Job | None = None,
) -> Understood:
    """Return what a file holds and what would become of it in a plan.

    Raises
    ------
    InputError
        It cannot be read, is of another kind, damaged or could do harm.
    """
    reading, job = reading or Reading(), job or Job()
    job.report(-1.0, f"Reading {sent.name}")
    is_table = sent.path is None or sent.path.suffix.lower() in TABLES
    if is_table:
        return _of_text(sent, plan, terrain, reading, job)
    assert sent.path is not None
    if sent.path.suffix.lower() not in FORMATS:
        raise InputError(
            f"{sent.name} is of a kind that holds no places here.",
            advice=f"Choose one of {', '.join(FORMATS)}.",
        )
    read = read_places(sent.path)
    return Understood(
        name=sent.name,
        choices=_choices(plan, read.places, terrain, sent.name, reading, job),
        problems=read.problems,
    )


def _of_text(
    sent: SentFile, plan: Plan, terrain: Terrain | None, reading: Reading, job: Job
) -> Understood:
    """Read a table, or lines of free text where it is none."""
    data = sent.data if sent.path is None else file_bytes(sent.path)
    table = read_table(data, separator=reading.separator, decimal_comma=reading.decimal_comma)
    columns = reading.columns if reading.columns is not None else guessed_columns(table)
    refusal, is_list = None, False
    try:
        read = places_of_table(table, columns)
    except InputError as error:
        read, refusal = PlacesRead(places=()), error
    if not read.places and reading == Reading(keep_heights=reading.keep_heights):
        try:
            read, refusal = places_of_lines(text_of(data)), None
        except InputError:
            pass
        else:
            columns, is_list = (), True
    return Understood(
        name=sent.name,
        choices=_choices(plan, read.places, terrain, sent.name, reading, job),
        problems=read.problems,
        table=None if is_list else table,
        columns=tuple(columns),
        refusal=refusal,
    )


def _choices(
    plan: Plan,
    places: Sequence[Place],
    terrain: Terrain | None,
    name: str,
    reading: Reading,
    job: Job,
) -> tuple[Choice, ...]:
    job.report(-1.0, f"Comparing {counted(len(places), 'place')} with the plan")
    found = proposals(plan, places, terrain, source=name, keep_heights=reading.keep_heights)
    known = {site.site_id: site for site in plan.sites}
    choices = []
    for proposal in found:
        choice = _choice(proposal, known, reading)
        choices.append(choice)
        if choice.is_taken and choice.updated is not None:
            known.pop(choice.updated.site_id)  # a second row for it is a doublet of the file
    return tuple(choices)


def _choice(proposal: Proposal, known: dict[SiteId, Site], reading: Reading) -> Choice:
    twin_id = proposal.twin_id
    if twin_id is None:
        choice = Choice(proposal=proposal)
        return replace(choice, is_taken=not is_grave(choice))
    if twin_id not in known:  # the same file has it twice
        return Choice(proposal=proposal, is_taken=False)
    site = known[twin_id]
    updated = _updated(site, proposal, keep_heights=reading.keep_heights)
    told = _told(site, updated)
    is_same_name = proposal.place.identifier.casefold() == str(twin_id).casefold()
    choice = Choice(proposal=proposal, updated=updated, told=told, deed=Deed.UPDATE)
    return replace(choice, is_taken=bool(told) and is_same_name and not is_grave(choice))


def _updated(site: Site, proposal: Proposal, *, keep_heights: bool) -> Site:
    """Return a site with what the file tells of it; what the file leaves out stays."""
    place, fresh = proposal.place, proposal.site
    changed = replace(
        site,
        name=place.name or site.name,
        function=place.function or site.function,
        position=_moved(site.position, fresh.position),
        antenna_agl_m=_known(place.antenna_agl_m, site.antenna_agl_m),
        notes=place.notes or site.notes,
    )
    if not keep_heights or place.height_m is None or place.height_m == site.ground_amsl_m:
        return changed
    return replace(changed, ground_amsl_m=fresh.ground_amsl_m, ground_source=fresh.ground_source)


def _known(told: float | None, before: float | None) -> float | None:
    return before if told is None else told


def _moved(before: Position | None, after: Position | None) -> Position | None:
    """Return the new position, the old one where both are the same place."""
    if before is None or after is None:
        return after
    if _distance_m(before, after) > SAME_M:
        return after
    return replace(before, uncertainty_m=_known(after.uncertainty_m, before.uncertainty_m))


def _distance_m(a: Position, b: Position) -> float:
    return inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg).distance_m


def _told(before: Site, after: Site) -> tuple[str, ...]:
    told = []
    if before.position is None and after.position is not None:
        told.append("position entered")
    elif before.position is not None and after.position is not None:
        moved_m = _distance_m(before.position, after.position)
        if moved_m > SAME_M:
            told.append(f"moved {moved_m:,.0f} m")
        elif before.position != after.position:
            told.append("uncertainty")
    for name, words in _WORDS.items():
        if getattr(before, name) != getattr(after, name):
            told.append(words)
    return tuple(told)


_WORDS = {
    "name": "name",
    "function": "function",
    "antenna_agl_m": "antenna height",
    "ground_amsl_m": "ground height",
    "notes": "notes",
}


def as_meant(
    choice: Choice, plan: Plan, terrain: Terrain | None, name: str, reading: Reading
) -> Choice:
    """Return a choice with the place that its doubts say was meant; itself where none says so."""
    meant = next((d.instead for d in choice.proposal.doubts if d.instead is not None), None)
    if meant is None:
        return choice
    place = replace(choice.proposal.place, lat_deg=meant[0], lon_deg=meant[1])
    (moved,) = _choices(plan, (place,), terrain, name, reading, Job())
    site = replace(moved.proposal.site, site_id=choice.proposal.site.site_id)
    return replace(moved, proposal=replace(moved.proposal, site=site), is_taken=True)


def with_choices(plan: Plan, taken: Sequence[Choice]) -> Plan:
    """Return the plan with the places that are taken, as new sites or as updates."""
    for choice in taken:
        if choice.deed is Deed.UPDATE and choice.updated is not None:
            plan = plan.with_site(choice.updated)
    fresh = tuple(c.proposal.site for c in taken if c.deed is Deed.ADD)
    return replace(plan, sites=(*plan.sites, *fresh))


def summary(taken: Sequence[Choice]) -> str:
    """Return what taking places does, in one sentence without its full stop."""
    added = sum(choice.deed is Deed.ADD for choice in taken)
    updated = len(taken) - added
    parts = [f"{counted(added, 'new site')}"] if added else []
    parts += [f"{counted(updated, 'site')} updated"] if updated else []
    return " and ".join(parts) or "nothing"


def told_deed(choice: Choice) -> str:
    """Return what becomes of a place, and why where nothing does."""
    if choice.is_known and choice.deed is Deed.UPDATE:
        return f"{choice.site_id} is there already, and the same"
    if not choice.is_taken:
        return _told_left_out(choice)
    if choice.deed is Deed.UPDATE:
        return f"update {choice.site_id}: {', '.join(choice.told)}"
    return f"new site {choice.site_id}"


def _told_left_out(choice: Choice) -> str:
    twin_id = choice.proposal.twin_id
    if choice.updated is not None:
        return f"left out, seems to be {choice.updated.site_id}"
    if twin_id is not None:
        return f"left out, the file has {twin_id} twice"
    return "left out until the doubt is settled" if is_grave(choice) else "left out"


def is_grave(choice: Choice) -> bool:
    """Whether a place is likelier a mistake than where somebody stood."""
    return any(doubt.code in _GRAVE for doubt in choice.proposal.doubts)


_GRAVE = (DoubtCode.NO_PLACE, DoubtCode.SIGN_LOST, DoubtCode.SWAPPED)
