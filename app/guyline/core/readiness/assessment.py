"""Everything the program says of a plan, in one value that every view prints from."""

from __future__ import annotations

from dataclasses import dataclass, field

from guyline.core.network.effect import NeedAssessment, NetworkAssessment
from guyline.core.network.link import LinkAssessment
from guyline.core.network.traffic import PlanTraffic
from guyline.core.plan import (
    Gate,
    Link,
    Plan,
    SiteId,
)
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.bill_of_materials import BillLine
from guyline.core.readiness.configuration import Configuration
from guyline.core.readiness.finding import (
    Finding,
    Verdict,
    combined_verdict,
    severity,
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SiteAssessment:
    """The verdict of a site and the findings it is made from, worst first."""

    site_id: SiteId
    findings: tuple[Finding, ...]
    links: tuple[LinkAssessment, ...]
    power: PowerAssessment
    ground_amsl_m: float | None = None

    @property
    def verdict(self) -> Verdict:
        return combined_verdict(tuple(f.verdict for f in self.findings))

    @property
    def first_blocker(self) -> Finding | None:
        """The worst finding, None where all is GO."""
        worst = min(self.findings, key=lambda f: severity(f.verdict), default=None)
        return None if worst is None or worst.verdict is Verdict.GO else worst

    @property
    def weakest_link(self) -> LinkAssessment | None:
        """The link with the least margin; one of unknown margin counts as the weakest."""
        return min(
            self.links,
            key=lambda link: float("-inf") if link.margin_db is None else link.margin_db,
            default=None,
        )

    def gate_verdict(self, gate: Gate) -> Verdict:
        return combined_verdict(tuple(f.verdict for f in self.findings if f.gate is gate))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanAssessment:
    """Everything that is said of `plan`; sites in the plan's order."""

    plan: Plan
    sites: tuple[SiteAssessment, ...]
    links: tuple[LinkAssessment, ...]
    network: NetworkAssessment
    traffic: PlanTraffic | None = None
    bill: tuple[BillLine, ...] = ()
    """What all checklists ask for, against what is held."""
    configuration: Configuration = field(default_factory=Configuration)

    @property
    def needs(self) -> tuple[NeedAssessment, ...]:
        return self.network.needs

    def site(self, site_id: SiteId) -> SiteAssessment:
        for site in self.sites:
            if site.site_id == site_id:
                return site
        raise KeyError(site_id)

    def link(self, link: Link) -> LinkAssessment:
        for known in self.links:
            if known.link.ends == link.ends:
                return known
        raise KeyError(link)

    @property
    def worst_first(self) -> tuple[SiteAssessment, ...]:
        return tuple(sorted(self.sites, key=lambda s: (severity(s.verdict), s.site_id)))

    @property
    def sites_lacking_power(self) -> tuple[SiteAssessment, ...]:
        """Sites that lack power or may, largest known shortfall first."""
        lacking = [s for s in self.sites if s.power.lacks_power is not False]
        return tuple(
            sorted(
                lacking,
                key=lambda s: (
                    s.power.lacks_power is None,
                    -(s.power.shortfall_wh_per_day or 0.0),
                ),
            )
        )

    @property
    def verdict(self) -> Verdict:
        return combined_verdict(tuple(s.verdict for s in self.sites))
