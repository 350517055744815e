"""Where people enter what a finding asks for: field, list or row, of this site or another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from guyline.core.plan import SiteId
from guyline.core.readiness.finding import Finding, FindingCode, Verdict
from guyline.viewmodels.site_fields import SITE_FIELDS

GATE_RECORDS, HAZARDS = "gate_records", "hazards"


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A place of the forms.

    Attributes
    ----------
    path
        Field or list, of the site or else of the plan; "" shows the readiness of the site.
    row, cell
        First cell of the row, where a list has one for it, and the field to enter there.
    site_id
        Whose it is; the site of the finding, or the one that it waits for. None is the plan.
    """

    path: str
    site_id: SiteId | None = None
    row: str = ""
    cell: str = ""


_C = FindingCode

PLACES: Mapping[FindingCode, str] = {
    _C.POSITION: "position",
    _C.POSITION_UNCERTAINTY: "position.uncertainty_m",
    _C.GROUND_HEIGHT: "ground_amsl_m",
    _C.HAZARD_AREA: "position",
    _C.NO_LINK: "links",
    _C.FLOOD_LEVEL: "flood_amsl_m",
    _C.MAST_WIND: "mast.holds_n_m",
    _C.LINK_MARGIN: "antenna_agl_m",
    _C.LINK_TERRAIN: "terrain_sources",
    _C.LINK_INPUTS: "radio.tx_power_dbm",
    _C.LINK_READING: "readings",
    _C.ANTENNA_BEAM: "antenna",
    _C.ANTENNA_BAND: "antenna",
    _C.CONNECTORS: "checklist",
    _C.RADIATED_POWER: "radio_rule.limit_dbm",
    _C.RULE_LIMIT: "radio_rule",
    _C.LISTENING: "radio.listens",
    _C.EXPOSURE: "radio.tx_power_dbm",
    _C.ROUTED_TRAFFIC: "packets_per_hour",
    _C.BUSY_HOUR: "needs",
    _C.DUTY_CYCLE: "packets_per_hour",
    _C.POWER_INPUTS: "power.source",
    _C.POWER_SOURCE: "power.source",
    _C.SOLAR_BALANCE: "power.panel.stc_w",
    _C.DAYS_WITHOUT_SUN: "power.battery.capacity_wh",
    _C.SURVIVAL: "power.battery.capacity_wh",
    _C.BACKUP: "power.battery.capacity_wh",
    _C.BATTERY_LIFE: "power.battery.capacity_wh",
    _C.BATTERY_TESTED: "power.battery.is_tested",
    _C.COLD_CHARGING: "power.coldest_c",
    _C.BATTERY_CUT_OFF: "power.battery.reconnect_v",
    _C.PANEL_AIM: "power.panel.azimuth_deg",
    _C.MAINS_SOCKET: "power.mains_is_unswitched",
    _C.POWER_BANK: "power.battery.is_power_bank",
    _C.FUEL: "power.generator.fuel_l",
    _C.CRITICAL_KIT: "checklist",
    _C.OTHER_KIT: "checklist",
    _C.KIT_LIST: "checklist",
    _C.SPARE_FUSES: "checklist",
    _C.CONNECTOR_TAPE: "checklist",
    _C.PROMISED_SERIAL: "stock",
    _C.PROMISED_STOCK: "stock",
    _C.PERMISSION: "permission.is_granted",
    _C.PERMISSION_EXPIRY: "permission.expires_on",
    _C.KEY_HOLDER: "permission.key_holder",
    _C.RADIO_IDENTIFIER: "radio.identifier",
    _C.RADIO_ALIKE: "radio.identifier",
    _C.SITE_ALIKE: "name",
    _C.READ_BACK: "bench.identifier",
    _C.VSWR: "bench.vswr",
    _C.SOAK: "bench.soak_hours",
}
"""For what is not here somebody takes charge of the gate's conditions, or answers for it."""

_TITLES = {field.title.casefold(): path for path, field in SITE_FIELDS.items()}
_READ_BACK = {
    "identifier": "bench.identifier",
    "frequency": "bench.frequency_hz",
    "bandwidth": "bench.bandwidth_hz",
    "spreading factor": "bench.spreading_factor",
    "coding rate denominator": "bench.coding_rate",
    "transmit power": "bench.tx_power_dbm",
    "channel name": "bench.channel_name",
    "key identifier": "bench.key_identifier",
}


def entry_of(finding: Finding) -> Entry | None:
    """Return where a finding is answered, None where it is as it should be."""
    if finding.verdict is Verdict.GO:
        return None
    if finding.code is _C.REACH:
        return _way_of(finding)
    if finding.code is _C.READ_BACK:
        return Entry(path=_first_wrong(finding.fact("wrong")), site_id=finding.site_id)
    if finding.code is _C.HAZARD_AREA and finding.remedy is not None:
        hazard = finding.remedy.what.partition("the hazard: ")[2]
        if hazard:
            return Entry(path=HAZARDS, site_id=finding.site_id, row=hazard)
    named = None if finding.remedy is None else _named(finding.remedy.what, finding.site_id)
    if named is not None:
        return named
    if finding.code in PLACES:
        return Entry(path=PLACES[finding.code], site_id=finding.site_id)
    cell = "answer" if finding.code is _C.GATE_ANSWER else "owner"
    return Entry(path=GATE_RECORDS, site_id=finding.site_id, row=str(finding.gate), cell=cell)


def _way_of(finding: Finding) -> Entry:
    """The first site that the way waits for, or the links where there is no way."""
    waits_for = finding.fact("waits_for").split(", ")[0]
    if waits_for:
        return Entry(path="", site_id=SiteId(waits_for))
    return Entry(path="links", site_id=finding.site_id)


def _named(what: str, site_id: SiteId) -> Entry | None:
    """The first field that the remedy names, such as "antenna height of HILL"."""
    first = what.split(", ")[0]
    if first.casefold() in _TITLES:
        return Entry(path=_TITLES[first.casefold()], site_id=site_id)
    title, _, owner = first.partition(" of ")
    path = _TITLES.get(title.casefold())
    if path is None or " " in owner:
        return None
    return Entry(path=path, site_id=SiteId(owner) if owner else site_id)


def _first_wrong(wrong: str) -> str:
    return next((path for name, path in _READ_BACK.items() if wrong.startswith(name)), "")
