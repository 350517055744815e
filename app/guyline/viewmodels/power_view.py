"""What the power view shows of a site: where the energy goes, the sun's way, what would do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from guyline.core.plan import Plan, PowerSource, Site, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.power.cure_changes import apply_cure
from guyline.core.power.handling import handling_of
from guyline.core.power.rounds import visit_rounds
from guyline.core.power.sizing import SizingChart
from guyline.core.power.timeline import sites_up
from guyline.core.power.wiring import wiring_of
from guyline.errors import GuylineError
from guyline.services.assessment import Assessor
from guyline.services.commissioning import Expectation, expected_readings
from guyline.services.fetched_climate import Service, fetch_climate
from guyline.services.job import Job
from guyline.services.panel_horizon import SunArc, sun_arc
from guyline.services.shades import Shade, shades_of
from guyline.services.wording.power_details import (
    charging_line,
    handling_lines,
    reading_rows,
    round_lines,
    timeline_line,
    wiring_lines,
)
from guyline.services.wording.power_facts import Fact, power_facts
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.job_runner import JobRunner
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection

if TYPE_CHECKING:
    from guyline.viewmodels.board_rows import BoardSection

EMPTY = "Choose a site: here stands where its energy comes from and where it goes."
WAITING = "The power of the site appears when the plan has been assessed."
MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class EnergyBar:
    """A draw or a gain of a day, in Wh/day; `share` is that of the longest bar."""

    name: str
    wh_per_day: float
    share: float
    source: str
    is_gain: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CureRow:
    """A cure in words; `action` is what its button says, "" where the plan cannot do it."""

    words: str
    action: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Skyline:
    """The sun's way of a month over the horizon round the panel."""

    arc: SunArc
    horizon_deg: tuple[float, ...]
    azimuth_deg: float
    """Where the panel faces."""
    shades: tuple[Shade, ...] = ()
    """Trees and walls about the panel."""

    @property
    def sentence(self) -> str:
        month = MONTHS[self.arc.month - 1]
        if self.arc.hours_up == 0.0:
            return f"The sun does not rise in {month}."
        sun = f"Sun {self.arc.hours_up:.1f} h a day in {month}"
        if not self.horizon_deg and not self.shades:
            return f"{sun}; the horizon is unknown."
        what = "the ground, trees and walls" if self.shades else "the ground"
        hide = "hide" if self.shades else "hides"
        if self.arc.hours_lost < 0.05:
            return f"{sun}; {what} {hide} none of it."
        return f"{sun}; {what} {hide} {self.arc.hours_lost:.1f} h of it."


class PowerView(QObject):
    """Follows the chosen site in the latest assessment; the sizing chart is made when asked."""

    changed = Signal()
    sizing_changed = Signal()
    fetching_changed = Signal()
    refused = Signal(GuylineError)

    def __init__(
        self,
        document: PlanDocument,
        selection: Selection,
        live: LiveAssessment,
        assessor: Assessor,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._document = document
        self._selection, self._live, self._assessor = selection, live, assessor
        self._runner: JobRunner | None = None
        self._fetcher: JobRunner | None = None
        self._sizing: tuple[PowerAssessment, SizingChart | None] | None = None
        selection.site_changed.connect(lambda site_id: self.changed.emit())
        live.updated.connect(lambda assessment: self.changed.emit())

    def use(self, assessor: Assessor) -> None:
        """Ask another assessor from now on, as after other terrain was opened."""
        self._assessor = assessor
        self._sizing = None

    @property
    def plan(self) -> Plan | None:
        return None if self._live.current is None else self._live.current.plan

    @property
    def site(self) -> Site | None:
        """The chosen site as it was assessed; None where none is chosen."""
        site_id, plan = self._selection.site_id, self.plan
        if site_id is None or plan is None or not plan.has_site(site_id):
            return None
        return plan.site(site_id)

    @property
    def power(self) -> PowerAssessment | None:
        site, assessment = self.site, self._live.current
        if site is None or assessment is None:
            return None
        return assessment.site(site.site_id).power

    @property
    def hint(self) -> str:
        """What to do first where there is nothing to show."""
        if self.power is not None:
            return ""
        return WAITING if self._live.current is None else EMPTY

    @property
    def note(self) -> str:
        """The answer in a few words, or what must be entered before there is one."""
        power = self.power
        if power is None:
            return ""
        if power.missing:
            return f"Unknown until entered: {', '.join(power.missing)}."
        if power.lacks_power is None:
            return "Nobody can say yet whether the site stays on the air."
        return "Lacks power." if power.lacks_power else "Has the power it needs."

    def bars(self) -> tuple[EnergyBar, ...]:
        """What the panel brings, then every draw, the largest first."""
        power = self.power
        if power is None:
            return ()
        draws = sorted(power.load_lines, key=lambda line: -line.energy_wh_per_day)
        values = [line.energy_wh_per_day for line in draws]
        if power.yield_wh_per_day is not None:
            values.append(power.yield_wh_per_day)
        longest = max(values, default=0.0) or 1.0
        found = [
            EnergyBar(
                name=line.name,
                wh_per_day=line.energy_wh_per_day,
                share=line.energy_wh_per_day / longest,
                source=line.source,
            )
            for line in draws
        ]
        if power.yield_wh_per_day is not None and power.worst_month is not None:
            gain = EnergyBar(
                name=f"panel in {MONTHS[power.worst_month - 1]}",
                wh_per_day=power.yield_wh_per_day,
                share=power.yield_wh_per_day / longest,
                source=power.quantity("mean daily clearness").source,
                is_gain=True,
            )
            found.insert(0, gain)
        return tuple(found)

    def facts(self) -> tuple[Fact, ...]:
        """Shortfall, first outage, chances and reserves, a label and a figure each."""
        site, plan, power = self.site, self.plan, self.power
        if site is None or plan is None or power is None:
            return ()
        return power_facts(plan, site, power)

    def cures(self) -> tuple[CureRow, ...]:
        """What would end the lack, best first; each was simulated again."""
        from guyline.services.documents.cure_words import cure_action, cure_words

        site, power = self.site, self.power
        if site is None or power is None:
            return ()
        lines = [(cure, cure_words(cure)) for cure in power.cures]
        return tuple(
            CureRow(words=f"{line[:1].upper()}{line[1:]}.", action=cure_action(site, cure))
            for cure, line in lines
        )

    def cure_ranking(self) -> str:
        """By what the cures are ranked."""
        from guyline.services.documents.cure_words import ranking_words

        return "" if self.power is None else ranking_words(self.power.cures)

    def do_cure(self, place: int) -> None:
        """Do a cure in the plan, as one undoable step; nothing where people must do it."""
        from guyline.services.documents.cure_words import cure_action

        known, power, plan = self.site, self.power, self._document.plan
        if known is None or power is None or not plan.has_site(known.site_id):
            return
        site, cure = plan.site(known.site_id), power.cures[place]
        after = apply_cure(site, cure)
        if after is not None:
            text = f"{site.site_id}: {cure_action(site, cure)}"
            self._document.edit(plan.with_site(after), text)

    def choose(self, site_id: SiteId) -> None:
        self._selection.select_site(site_id)

    def lacking(self) -> BoardSection | None:
        """All sites of the plan that lack power or may, with the best cure of each."""
        from guyline.viewmodels.board import lacking_power

        return None if self._live.current is None else lacking_power(self._live.current)

    def skyline(self) -> Skyline | None:
        """The sun's way in the worst month over the panel's horizon; None without a panel."""
        site, power = self.site, self.power
        if site is None or site.position is None or power is None:
            return None
        if power.worst_month is None or power.panel_azimuth_deg is None:
            return None
        horizon = self._assessor.panel_horizon(site) or ()
        return Skyline(
            arc=sun_arc(site.position.lat_deg, power.worst_month, horizon, shades_of(site.power)),
            horizon_deg=horizon,
            shades=shades_of(site.power),
            azimuth_deg=power.panel_azimuth_deg,
        )

    def wiring(self) -> tuple[str, ...]:
        """Cables and fuses, a line each."""
        site, power = self.site, self.power
        if site is None or power is None:
            return ()
        coldest = power.quantity("coldest battery temperature").value
        wiring = wiring_of(site.power, power.load_wh_per_day, coldest)
        return () if wiring is None else wiring_lines(wiring)

    def handling(self) -> tuple[str, ...]:
        """Transport, air and cautions of the battery."""
        site, power = self.site, self.power
        if site is None or site.power.battery is None or power is None:
            return ()
        coldest = power.quantity("coldest battery temperature").value
        handling = handling_of(site.power.battery, coldest)
        return () if handling is None else handling_lines(handling)

    def readings(self) -> tuple[tuple[str, str, str, str], ...]:
        """Clock, open voltage, short-circuit and charging current on the first day."""
        expected = self._expected()
        return () if expected is None else reading_rows(expected)

    def readings_note(self) -> str:
        """What the battery shows meanwhile."""
        expected = self._expected()
        return "" if expected is None else charging_line(expected)

    def _expected(self) -> Expectation | None:
        site, plan = self.site, self.plan
        if site is None or plan is None:
            return None
        ground = self._assessor.ground_amsl_m(site.position)
        return expected_readings(plan, site, ground, self._assessor.panel_horizon(site))

    def climate(self) -> str:
        """Where the sun of this place is known from, and how well."""
        power = self.power
        if power is None or power.yield_wh_per_day is None:
            return ""
        known = power.quantity("mean daily clearness")
        words = f"Sun from: {known.source}"
        return f"{words}; {known.confidence}." if known.confidence else f"{words}."

    def network(self) -> tuple[str, ...]:
        """The whole plan: how many sites stay up, and the trips that keep them so."""
        assessment = self._live.current
        if assessment is None or not assessment.plan.incident.mission_days:
            return ()
        days = assessment.plan.incident.mission_days
        powers = [site.power for site in assessment.sites]
        lines = [timeline_line(sites_up(powers, days))]
        trips = round_lines(visit_rounds(powers, days), assessment.plan.incident.start_on)
        if trips:
            lines.append("Trips with charged batteries or fuel:")
        return tuple(line for line in (*lines, *trips) if line)

    # --- the climate, which a service may know better ----------------------------------------

    @property
    def is_fetching(self) -> bool:
        return self._fetcher is not None

    def fetch_climate(self, service: Service) -> None:
        """Ask a service for the climate of the chosen site, keep it and work all out anew."""
        site, assessor = self.site, self._assessor
        if site is None or site.position is None or self._fetcher is not None:
            return
        lat_deg, lon_deg = site.position.lat_deg, site.position.lon_deg
        runner = JobRunner(lambda job: fetch_climate(lat_deg, lon_deg, service, job), self)
        runner.succeeded.connect(lambda climate: self._use_climate(assessor))
        runner.refused.connect(self.refused)
        runner.finished.connect(self._fetched)
        self._fetcher = runner
        runner.start()
        self.fetching_changed.emit()

    def cancel_fetching(self) -> None:
        if self._fetcher is not None:
            self._fetcher.cancel()

    def _use_climate(self, assessor: Assessor) -> None:
        assessor.forget_power()
        self._live.refresh()

    def _fetched(self) -> None:
        self._fetcher = None
        self.fetching_changed.emit()

    # --- the sizing chart, which takes a moment --------------------------------------------

    @property
    def sizing(self) -> SizingChart | None:
        """The chart of the shown assessment, None while it is not made."""
        power = self.power
        if power is None or self._sizing is None or self._sizing[0] is not power:
            return None
        return self._sizing[1]

    @property
    def can_size(self) -> bool:
        power = self.power
        return (
            power is not None
            and power.source is PowerSource.SOLAR
            and power.survival_probability is not None
        )

    @property
    def is_sizing(self) -> bool:
        return self._runner is not None

    def make_sizing(self) -> None:
        """Simulate the chart off the GUI thread; `sizing_changed` tells when it is there."""
        site, plan, power, assessor = self.site, self.plan, self.power, self._assessor
        if site is None or plan is None or power is None or not self.can_size or self._runner:
            return

        def work(job: Job) -> object:
            return assessor.sizing_chart(plan, site, job)

        self._runner = JobRunner(work, self)
        self._runner.succeeded.connect(lambda chart: self._keep(power, chart))
        self._runner.finished.connect(self._done)
        self._runner.start()
        self.sizing_changed.emit()

    def cancel_sizing(self) -> None:
        if self._runner is not None:
            self._runner.cancel()

    def _keep(self, power: PowerAssessment, chart: SizingChart | None) -> None:
        self._sizing = (power, chart)

    def _done(self) -> None:
        self._runner = None
        self.sizing_changed.emit()
