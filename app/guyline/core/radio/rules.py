"""What a node radiates and how long it sends, held against a limit that somebody entered.

Nothing here is ever called legal: a limit is dated data, and only a regulator or licence says
what holds.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from math import log10

from guyline.core.plan import RadioRule
from guyline.core.units import EIRP_OVER_ERP_DB
from guyline.errors import InputError

PRINTED_DIGIT_DB = 0.05  # half of the last printed digit: 14.02 is no excess over 14.0
READ_CONFIDENCES = ("A",)


class RuleAnswer(StrEnum):
    """How a value stands to an entered limit; the value is what people read."""

    WITHIN = "within the limit entered"
    OVER = "over the limit entered"
    NOT_ENTERED = "limit not entered"
    UNKNOWN = "not known"


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCheck:
    """One quantity of a node against one limit of a rule; None is unknown or not entered."""

    quantity: str
    unit: str
    value: float | None
    limit: float | None
    answer: RuleAnswer

    @property
    def over(self) -> float | None:
        """By how much the limit is exceeded; negative is room left."""
        if self.value is None or self.limit is None:
            return None
        return self.value - self.limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Emission:
    """What leaves a node; None is unknown. A chirp spreads evenly over its bandwidth."""

    tx_power_dbm: float | None
    feeder_loss_db: float | None
    gain_dbi: float | None
    frequency_hz: float
    bandwidth_hz: float

    @property
    def net_gain_db(self) -> float | None:
        """Gain of the antenna less the feeder before it."""
        if self.gain_dbi is None or self.feeder_loss_db is None:
            return None
        return self.gain_dbi - self.feeder_loss_db

    @property
    def eirp_dbm(self) -> float | None:
        """Power against an isotropic antenna."""
        if self.tx_power_dbm is None or self.net_gain_db is None:
            return None
        return self.tx_power_dbm + self.net_gain_db

    @property
    def erp_dbm(self) -> float | None:
        """Power against a half-wave dipole."""
        return None if self.eirp_dbm is None else self.eirp_dbm - EIRP_OVER_ERP_DB

    def in_kind_dbm(self, kind: str, gain_allowance_dbi: float | None = None) -> float | None:
        """Power in the sense of a limit.

        Parameters
        ----------
        kind : str
            "EIRP", "ERP" or "conducted", which is at the connector of the radio.
        gain_allowance_dbi : float, optional
            Gain above which a conducted limit falls dB for dB; what gain less feeder exceeds it
            by counts as power. [dBi]
        """
        if kind == "EIRP":
            return self.eirp_dbm
        if kind == "ERP":
            return self.erp_dbm
        if kind != "conducted":
            raise InputError(
                f"{kind!r} is no kind of power limit.",
                advice="Choose EIRP, ERP or conducted.",
            )
        if gain_allowance_dbi is None or self.tx_power_dbm is None:
            return self.tx_power_dbm
        if self.net_gain_db is None:
            return None
        return self.tx_power_dbm + max(0.0, self.net_gain_db - gain_allowance_dbi)


def power_check(rule: RadioRule | None, emission: Emission) -> RuleCheck:
    """Radiated or conducted power against the limit of a rule."""
    if rule is None:
        return _not_entered("radiated power", "dBm")
    value = emission.in_kind_dbm(rule.limit_kind, rule.gain_allowance_dbi)
    return _at_most(f"{rule.limit_kind} power", "dBm", value, rule.limit_dbm, PRINTED_DIGIT_DB)


def max_tx_power_dbm(
    rule: RadioRule,
    feeder_loss_db: float,
    gain_dbi: float,
    hardware_dbm: float = 30.0,
    bandwidth_hz: float | None = None,
) -> float:
    """Transmit power at the radio that keeps the power limit, not more than the radio has, in dBm.

    Parameters
    ----------
    rule : RadioRule
        The entered rule.
    feeder_loss_db : float
        Only what is in the bill of materials. [dB]
    gain_dbi : float
        [dBi]
    hardware_dbm : float
        Most the radio can give. [dBm]
    bandwidth_hz : float, optional
        Of the signal; with it the limit of power density is kept too, where the rule has one. [Hz]
    """
    at_zero = Emission(
        tx_power_dbm=0.0,
        feeder_loss_db=feeder_loss_db,
        gain_dbi=gain_dbi,
        frequency_hz=0.0,
        bandwidth_hz=0.0,
    ).in_kind_dbm(rule.limit_kind, rule.gain_allowance_dbi)
    assert at_zero is not None
    limit = rule.limit_dbm
    if None not in (bandwidth_hz, rule.psd_limit_dbm, rule.psd_bandwidth_hz):
        assert bandwidth_hz is not None
        assert rule.psd_limit_dbm is not None
        assert rule.psd_bandwidth_hz is not None
        share_db = power_in_bandwidth_dbm(0.0, bandwidth_hz, rule.psd_bandwidth_hz)
        limit = min(limit, rule.psd_limit_dbm - share_db)
    return min(limit - at_zero, hardware_dbm)


def density_check(rule: RadioRule | None, emission: Emission) -> RuleCheck:
    """Power density against the limit of a rule, which may name none."""
    if rule is None or rule.psd_limit_dbm is None or rule.psd_bandwidth_hz is None:
        return _not_entered("power density", "dBm")
    power = emission.in_kind_dbm(rule.limit_kind, rule.gain_allowance_dbi)
    density = None
    if power is not None:
        density = power_in_bandwidth_dbm(power, emission.bandwidth_hz, rule.psd_bandwidth_hz)
    return _at_most(
        f"{rule.limit_kind} power in {rule.psd_bandwidth_hz / 1e3:g} kHz",
        "dBm",
        density,
        rule.psd_limit_dbm,
        PRINTED_DIGIT_DB,
    )


def power_in_bandwidth_dbm(
    power_dbm: float, bandwidth_hz: float, reference_bandwidth_hz: float
) -> float:
    """Power of an evenly spread signal in a part of its bandwidth, in dBm.

    Parameters
    ----------
    power_dbm : float
        Whole power. [dBm]
    bandwidth_hz : float
        Bandwidth of the signal. [Hz]
    reference_bandwidth_hz : float
        The part; the whole power if it is the wider of the two. [Hz]
    """
    share = min(1.0, reference_bandwidth_hz / bandwidth_hz)
    return power_dbm + 10.0 * log10(share)


def band_check(rule: RadioRule | None, emission: Emission, drift_ppm: float = 10.0) -> RuleCheck:
    """How far the signal reaches beyond the band of a rule; 0 or less lies inside.

    Parameters
    ----------
    rule : RadioRule or None
        The entered rule.
    emission : Emission
        The signal.
    drift_ppm : float
        Frequency error of the radio, added at both edges; 10 is common practice, no source.
        [parts per million]
    """
    if rule is None or rule.low_hz is None or rule.high_hz is None:
        return _not_entered("reach beyond the band", "kHz")
    half = emission.bandwidth_hz / 2.0 + emission.frequency_hz * drift_ppm * 1e-6
    beyond = max(
        rule.low_hz - (emission.frequency_hz - half), emission.frequency_hz + half - rule.high_hz
    )
    return _at_most("reach beyond the band", "kHz", beyond / 1e3, 0.0)


def bandwidth_check(rule: RadioRule | None, emission: Emission) -> RuleCheck:
    """Bandwidth against the widest a rule allows."""
    if rule is None or rule.max_bandwidth_hz is None:
        return _not_entered("bandwidth", "kHz")
    return _at_most("bandwidth", "kHz", emission.bandwidth_hz / 1e3, rule.max_bandwidth_hz / 1e3)


def dwell_check(rule: RadioRule | None, time_on_air_s: float | None) -> RuleCheck:
    """Length of one transmission against the longest a rule allows."""
    if rule is None or rule.max_dwell_s is None:
        return _not_entered("single transmission", "s")
    return _at_most("single transmission", "s", time_on_air_s, rule.max_dwell_s)


def rule_path(rule: RadioRule | None) -> str:
    """The rule in one line, with who must confirm it."""
    if rule is None:
        return RuleAnswer.NOT_ENTERED.value
    parts = [rule.name, f"{rule.limit_dbm:g} dBm {rule.limit_kind}"]
    if rule.duty_fraction is not None:
        parts.append(f"at most {100.0 * rule.duty_fraction:g} % of an hour")
    if rule.max_dwell_s is not None:
        parts.append(f"at most {rule.max_dwell_s:g} s at a time")
    parts.append(f"source: {rule.source or 'not stated'}")
    if needs_confirmation(rule):
        parts.append("confirm with your regulator")
    return ", ".join(parts)


def needs_confirmation(rule: RadioRule) -> bool:
    """Whether the rule was not read in its primary text, or nobody has checked it."""
    return rule.confidence not in READ_CONFIDENCES or rule.checked_on is None


def _not_entered(quantity: str, unit: str) -> RuleCheck:
    return RuleCheck(
        quantity=quantity, unit=unit, value=None, limit=None, answer=RuleAnswer.NOT_ENTERED
    )


def _at_most(
    quantity: str, unit: str, value: float | None, limit: float, tolerance: float = 0.0
) -> RuleCheck:
    if value is None or value != value:  # NaN is unknown too
        return RuleCheck(
            quantity=quantity, unit=unit, value=None, limit=limit, answer=RuleAnswer.UNKNOWN
        )
    answer = RuleAnswer.WITHIN if value <= limit + tolerance else RuleAnswer.OVER
    return RuleCheck(quantity=quantity, unit=unit, value=value, limit=limit, answer=answer)
