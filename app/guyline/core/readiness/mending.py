"""Why a site is not GO: the smallest set of mendings, each proven by judging the plan again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from guyline.core.plan import (
    BenchRecord,
    ChecklistItem,
    Fact,
    GateRecord,
    ItemState,
    Plan,
    Site,
    SiteId,
)
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.bill_of_materials import FUSE_SPARES
from guyline.core.readiness.finding import Finding, FindingCode, Verdict, severity
from guyline.core.readiness.permission_checks import mission_end
from guyline.core.readiness.remedy import apply_remedy
from guyline.core.readiness.supply_checks import noon_azimuth_deg

SOMEBODY = "assumed"
"""Stands for a name while it is tried out what a mending would bring; never kept in a plan."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mending:
    """What must be mended at a site, and what it is worth.

    Attributes
    ----------
    steps
        Findings to mend; without any one of them the site stays worse than `reached`.
    reached
        Verdict of the site once all steps are done.
    left
        Findings that nothing in the plan can mend, such as what must be measured on site.
    """

    site_id: SiteId
    steps: tuple[Finding, ...]
    reached: Verdict
    left: tuple[Finding, ...]


def smallest_mending(
    plan: Plan, site_id: SiteId, assess: Callable[[Plan], PlanAssessment]
) -> Mending:
    """Smallest set of mendings that brings a site to the best verdict it can reach.

    Parameters
    ----------
    assess : callable
        Judges a whole plan; called a few times, and once more for each mending.
    """
    steps: list[Finding] = []
    best = assess(plan).site(site_id)
    while new := [f for f in _open(best) if assume_mended(plan, f) and not _is_in(f, steps)]:
        steps += new  # mending one thing can bring another to light
        best = assess(_with_all(plan, steps)).site(site_id)
    for finding in sorted(steps, key=lambda f: -severity(f.verdict)):
        fewer = [step for step in steps if step is not finding]
        if assess(_with_all(plan, fewer)).site(site_id).verdict is best.verdict:
            steps = fewer
    return Mending(
        site_id=site_id,
        steps=tuple(steps),
        reached=best.verdict,
        left=tuple(_open(best)),
    )


def _open(site: SiteAssessment) -> list[Finding]:
    return [f for f in site.findings if f.verdict is not Verdict.GO]


def _is_in(finding: Finding, steps: list[Finding]) -> bool:
    return any(
        (s.code, s.gate, s.far_id) == (finding.code, finding.gate, finding.far_id) for s in steps
    )


def _with_all(plan: Plan, findings: list[Finding]) -> Plan:
    for finding in findings:
        plan = assume_mended(plan, finding) or plan
    return plan


def assume_mended(plan: Plan, finding: Finding) -> Plan | None:
    """The plan as if a finding had been mended; None where that cannot be assumed."""
    if finding.remedy is not None and finding.remedy.is_edit:
        return apply_remedy(plan, finding.remedy)
    mend = _ASSUMED.get(finding.code)
    if mend is None:
        return None
    return plan.with_site(mend(plan, plan.site(finding.site_id), finding))


def _permission(plan: Plan, site: Site, finding: Finding) -> Site:
    permission = replace(
        site.permission,
        is_granted=Fact.YES,
        is_written=Fact.YES,
        expires_on=site.permission.expires_on or mission_end(plan),
    )
    return replace(site, permission=permission)


def _expiry(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, permission=replace(site.permission, expires_on=mission_end(plan)))


def _kit(plan: Plan, site: Site, finding: Finding) -> Site:
    critical = finding.code is FindingCode.CRITICAL_KIT
    items = tuple(
        replace(item, state=ItemState.IN_HAND)
        if item.is_critical is critical and not item.state.is_held
        else item
        for item in site.checklist
    )
    return replace(site, checklist=items)


def _identifier(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, radio=replace(site.radio, identifier=f"{SOMEBODY} {site.site_id}"))


def _position(plan: Plan, site: Site, finding: Finding) -> Site:
    if site.position is None:
        return site
    return replace(site, position=replace(site.position, uncertainty_m=5.0))


def _answer(plan: Plan, site: Site, finding: Finding) -> Site:
    record = replace(
        site.record(finding.gate),
        answer=Fact.YES,
        answered_by=SOMEBODY,
        answered_on=plan.incident.start_on,
        expires_on=None,
    )
    return _with_record(site, record)


def _owner(plan: Plan, site: Site, finding: Finding) -> Site:
    record = replace(site.record(finding.gate), owner=SOMEBODY, due_on=plan.incident.start_on)
    return _with_record(site, record)


def _with_record(site: Site, record: GateRecord) -> Site:
    others = tuple(known for known in site.gate_records if known.gate is not record.gate)
    return replace(site, gate_records=(*others, record))


def _battery(plan: Plan, site: Site, finding: Finding) -> Site:
    if site.power.battery is None:
        return site
    tested = replace(
        site.power.battery,
        is_tested=Fact.YES,
        health_fraction=site.power.battery.health_fraction or 1.0,
    )
    return replace(site, power=replace(site.power, battery=tested))


def _socket(plan: Plan, site: Site, finding: Finding) -> Site:
    power = replace(site.power, mains_is_unswitched=Fact.YES, mains_has_rcd=Fact.YES)
    return replace(site, power=power)


def _key_holder(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, permission=replace(site.permission, key_holder=SOMEBODY))


def _spare_fuses(plan: Plan, site: Site, finding: Finding) -> Site:
    return _with_item(site, "Spare fuse", FUSE_SPARES)


def _tape(plan: Plan, site: Site, finding: Finding) -> Site:
    return _with_item(site, "Connector tape", 1)


def _with_item(site: Site, name: str, quantity: int) -> Site:
    item = ChecklistItem(name=name, quantity=quantity, state=ItemState.IN_HAND)
    return replace(site, checklist=(*site.checklist, item))


def _bench(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, bench=BenchRecord())


def _cut_off(plan: Plan, site: Site, finding: Finding) -> Site:
    battery = site.power.battery
    if battery is None or battery.nominal_v is None:
        return site
    off, on = 0.94 * battery.nominal_v, 1.02 * battery.nominal_v  # 12.0 and 13.0 V of 12.8 V
    battery = replace(battery, low_voltage_disconnect_v=off, reconnect_v=on)
    return replace(site, power=replace(site.power, battery=battery))


def _panel_aim(plan: Plan, site: Site, finding: Finding) -> Site:
    if site.power.panel is None or site.position is None:
        return site
    panel = replace(site.power.panel, azimuth_deg=noon_azimuth_deg(site.position.lat_deg))
    return replace(site, power=replace(site.power, panel=panel))


_ASSUMED: dict[FindingCode, Callable[[Plan, Site, Finding], Site]] = {
    FindingCode.PERMISSION: _permission,
    FindingCode.PERMISSION_EXPIRY: _expiry,
    FindingCode.CRITICAL_KIT: _kit,
    FindingCode.OTHER_KIT: _kit,
    FindingCode.RADIO_IDENTIFIER: _identifier,
    FindingCode.POSITION_UNCERTAINTY: _position,
    FindingCode.GATE_ANSWER: _answer,
    FindingCode.CONDITION_OWNER: _owner,
    FindingCode.BATTERY_TESTED: _battery,
    FindingCode.MAINS_SOCKET: _socket,
    FindingCode.KEY_HOLDER: _key_holder,
    FindingCode.SPARE_FUSES: _spare_fuses,
    FindingCode.CONNECTOR_TAPE: _tape,
    FindingCode.RADIO_ALIKE: _identifier,
    FindingCode.READ_BACK: _bench,
    FindingCode.VSWR: _bench,
    FindingCode.SOAK: _bench,
    FindingCode.BATTERY_CUT_OFF: _cut_off,
    FindingCode.PANEL_AIM: _panel_aim,
    FindingCode.RECOVERY_DATE: _owner,
}
