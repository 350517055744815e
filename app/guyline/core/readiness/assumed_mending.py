"""What a plan would be if a finding had been mended: tried out, never kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from guyline.core.plan import (
    BenchRecord,
    ChecklistItem,
    Fact,
    GateRecord,
    ItemState,
    Plan,
    Site,
    SiteId,
    StockItem,
)
from guyline.core.radio.connectors import adapters_in_hand, adapters_to_obtain, equipment_chain
from guyline.core.readiness.alike_checks import alike
from guyline.core.readiness.bill_of_materials import FUSE_SPARES, serial_key
from guyline.core.readiness.finding import Finding, FindingCode
from guyline.core.readiness.permission_checks import mission_end
from guyline.core.readiness.remedy import apply_remedy
from guyline.core.readiness.supply_checks import noon_azimuth_deg
from guyline.errors import InputError

SOMEBODY = "assumed"
"""Stands for a name while it is tried out what a mending would bring; never kept in a plan."""
SOME_DAY = date(2000, 1, 1)
"""Stands for a day where the plan does not say when the mission starts; never kept in a plan."""


def assume_mended(plan: Plan, finding: Finding) -> Plan | None:
    """The plan as if a finding had been mended; None where that cannot be assumed."""
    if finding.remedy is not None and finding.remedy.is_edit:
        return apply_remedy(plan, finding.remedy)
    if finding.code in _ASSUMED_OF_PLAN:
        return _ASSUMED_OF_PLAN[finding.code](plan, finding)
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
        answered_on=plan.incident.start_on or SOME_DAY,
        expires_on=None,
    )
    return _with_record(site, record)


def _owner(plan: Plan, site: Site, finding: Finding) -> Site:
    record = replace(
        site.record(finding.gate), owner=SOMEBODY, due_on=plan.incident.start_on or SOME_DAY
    )
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


def _ground(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, ground_amsl_m=None)


def _antenna(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, antenna=replace(site.antenna, low_hz=None, high_hz=None))


def _adapters(plan: Plan, site: Site, finding: Finding) -> Site:
    try:
        chain = equipment_chain(
            site.radio, site.feeder, site.antenna, adapters_in_hand(site.checklist)
        )
    except InputError:
        return site
    got = () if chain is None else adapters_to_obtain(chain)
    held = tuple(replace(item, state=ItemState.IN_HAND) for item in got)
    return replace(site, checklist=(*site.checklist, *held))


def _listens(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, radio=replace(site.radio, listens=Fact.YES))


def _traffic(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, packets_per_hour=finding.value)


def _warm(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, power=replace(site.power, coldest_c=finding.limit))


def _no_power_bank(plan: Plan, site: Site, finding: Finding) -> Site:
    if site.power.battery is None:
        return site
    battery = replace(site.power.battery, is_power_bank=False)
    return replace(site, power=replace(site.power, battery=battery))


def _guyed(plan: Plan, site: Site, finding: Finding) -> Site:
    return replace(site, mast=replace(site.mast, holds_n_m=finding.value))


def _other_names(plan: Plan, finding: Finding) -> Plan:
    """Another name for the site, and other identifiers for those it could be taken for."""
    own = plan.site(finding.site_id)
    plan = plan.with_site(replace(own, name=f"{SOMEBODY} {own.site_id}"))
    ids = {site.site_id: str(site.site_id) for site in plan.sites}
    for n, (other, _) in enumerate(alike(ids, by_tail=False).get(own.site_id, ())):
        plan = plan.renaming_site(other, SiteId(f"{SOMEBODY} {own.site_id} {n}"))
    return plan


def _one_promise(plan: Plan, finding: Finding) -> Plan:
    serial, site_id = serial_key(finding.fact("serial")), finding.site_id
    return replace(
        plan,
        stock=tuple(
            replace(row, assigned_to=None)
            if serial_key(row.serial) == serial and row.assigned_to != site_id
            else row
            for row in plan.stock
        ),
    )


def _more_stock(plan: Plan, finding: Finding) -> Plan:
    short = round(-(finding.margin or 0.0))
    return replace(
        plan, stock=(*plan.stock, StockItem(name=finding.fact("item"), quantity=max(1, short)))
    )


_ASSUMED_OF_PLAN: dict[FindingCode, Callable[[Plan, Finding], Plan]] = {
    FindingCode.SITE_ALIKE: _other_names,
    FindingCode.PROMISED_SERIAL: _one_promise,
    FindingCode.PROMISED_STOCK: _more_stock,
}
"""What is mended elsewhere than at the site alone."""

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
    FindingCode.GROUND_HEIGHT: _ground,
    FindingCode.ANTENNA_BAND: _antenna,
    FindingCode.CONNECTORS: _adapters,
    FindingCode.LISTENING: _listens,
    FindingCode.ROUTED_TRAFFIC: _traffic,
    FindingCode.COLD_CHARGING: _warm,
    FindingCode.POWER_BANK: _no_power_bank,
    FindingCode.MAST_WIND: _guyed,
}
