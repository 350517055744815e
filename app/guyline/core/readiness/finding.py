"""A finding: one quantity held against its limit, with all that is needed to believe it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from guyline.core.plan import Gate, SiteId


class Verdict(StrEnum):
    """The four words a site can carry; the value is what people read."""

    GO = "GO"
    CONDITIONS = "GO WITH CONDITIONS"
    NO_GO = "NO-GO"
    NOT_ASSESSED = "NOT ASSESSED"


class FindingCode(StrEnum):
    """What was looked at; wording for each is in `services.wording`."""

    POSITION = "position"
    POSITION_UNCERTAINTY = "position-uncertainty"
    GROUND_HEIGHT = "ground-height"
    HAZARD_AREA = "hazard-area"
    FLOOD_LEVEL = "flood-level"
    MAST_WIND = "mast-wind"
    NO_LINK = "no-link"
    LINK_MARGIN = "link-margin"
    LINK_PROBABILITY = "link-probability"
    LINK_CLEARANCE = "link-clearance"
    LINK_TERRAIN = "link-terrain"
    LINK_INPUTS = "link-inputs"
    LINK_READING = "link-reading"
    ANTENNA_BEAM = "antenna-beam"
    ANTENNA_BAND = "antenna-band"
    CONNECTORS = "connectors"
    RADIATED_POWER = "radiated-power"
    RULE_LIMIT = "rule-limit"
    LISTENING = "listening"
    EXPOSURE = "exposure"
    ROUTED_TRAFFIC = "routed-traffic"
    BUSY_HOUR = "busy-hour"
    DUTY_CYCLE = "duty-cycle"
    POWER_INPUTS = "power-inputs"
    POWER_SOURCE = "power-source"
    SOLAR_BALANCE = "solar-balance"
    DAYS_WITHOUT_SUN = "days-without-sun"
    SURVIVAL = "survival"
    BACKUP = "backup"
    BATTERY_LIFE = "battery-life"
    BATTERY_TESTED = "battery-tested"
    COLD_CHARGING = "cold-charging"
    BATTERY_CUT_OFF = "battery-cut-off"
    PANEL_AIM = "panel-aim"
    MAINS_SOCKET = "mains-socket"
    POWER_BANK = "power-bank"
    FUEL = "fuel"
    CRITICAL_KIT = "critical-kit"
    OTHER_KIT = "other-kit"
    KIT_LIST = "kit-list"
    SPARE_FUSES = "spare-fuses"
    CONNECTOR_TAPE = "connector-tape"
    PROMISED_SERIAL = "promised-serial"
    PROMISED_STOCK = "promised-stock"
    PERMISSION = "permission"
    PERMISSION_EXPIRY = "permission-expiry"
    KEY_HOLDER = "key-holder"
    RADIO_IDENTIFIER = "radio-identifier"
    RADIO_ALIKE = "radio-alike"
    SITE_ALIKE = "site-alike"
    READ_BACK = "read-back"
    VSWR = "vswr"
    SOAK = "soak"
    GATE_ANSWER = "gate-answer"
    CONDITION_OWNER = "condition-owner"
    RECOVERY_DATE = "recovery-date"
    REACH = "reach"


class Comparison(StrEnum):
    """How a value must stand to its limit."""

    AT_LEAST = "at least"
    AT_MOST = "at most"
    IS = "is"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with its unit and where it is from; None is unknown."""

    name: str
    value: float | str | None
    unit: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """How a value came about: what is shown when somebody asks a number."""

    formula: str
    inputs: tuple[Quantity, ...] = ()
    source: str = ""
    confidence: str = ""


class RemedyAction(StrEnum):
    """What would mend a finding; those of EDITS can be done to the plan by a button."""

    ENTER = "enter"
    RAISE_ANTENNA = "raise antenna"
    LOWER_TX_POWER = "lower transmit power"
    LARGER_PANEL = "larger panel"
    LARGER_BATTERY = "larger battery"
    OBTAIN = "obtain"
    MEASURE = "measure"
    MOVE = "move"


EDITS = frozenset(
    {
        RemedyAction.RAISE_ANTENNA,
        RemedyAction.LOWER_TX_POWER,
        RemedyAction.LARGER_PANEL,
        RemedyAction.LARGER_BATTERY,
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """What would mend a finding, proven by computing it again where it is an edit.

    `what` names the missing thing for ENTER, OBTAIN and MEASURE.
    """

    action: RemedyAction
    site_id: SiteId
    value: float | None = None
    unit: str = ""
    what: str = ""

    @property
    def is_edit(self) -> bool:
        return self.action in EDITS and self.value is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that was looked at.

    Attributes
    ----------
    verdict
        GO where it is as it should be; NOT_ASSESSED where it is unknown.
    value, limit : float or None
        None where the quantity is unknown or is no number; then `facts` tells what is known.
    far_id
        The other end, where the finding is about a link.
    facts
        Names and numbers that the sentence needs beside value and limit.
    evidence
        Where the value is from, in words; `evidence_on` is the day it was true.
    """

    code: FindingCode
    gate: Gate
    site_id: SiteId
    verdict: Verdict
    quantity: str
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    comparison: Comparison = Comparison.AT_LEAST
    far_id: SiteId | None = None
    facts: tuple[tuple[str, str], ...] = ()
    working: Working = field(default_factory=lambda: Working(formula=""))
    evidence: str = ""
    evidence_on: date | None = None
    remedy: Remedy | None = None

    @property
    def margin(self) -> float | None:
        """By how much the limit is kept (positive) or missed (negative)."""
        if self.value is None or self.limit is None:
            return None
        if self.comparison is Comparison.AT_MOST:
            return self.limit - self.value
        return self.value - self.limit

    def fact(self, name: str) -> str:
        return dict(self.facts)[name]


_SEVERITY = (Verdict.NO_GO, Verdict.NOT_ASSESSED, Verdict.CONDITIONS, Verdict.GO)


def severity(verdict: Verdict) -> int:
    """Rank for sorting worst first: 0 is the worst."""
    return _SEVERITY.index(verdict)


def combined_verdict(verdicts: tuple[Verdict, ...]) -> Verdict:
    """Verdict of a whole from those of its parts: the worst of them, and unknown is never GO.

    One NO-GO is NO-GO whatever else is unknown; nothing looked at is NOT ASSESSED.
    """
    if not verdicts:
        return Verdict.NOT_ASSESSED
    return min(verdicts, key=severity)
