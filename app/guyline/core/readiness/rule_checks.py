"""Is what the site radiates within the limit that somebody entered? Never "legal"."""

from __future__ import annotations

from math import floor

from guyline.core.network.link import feeder_loss_of
from guyline.core.plan import (
    Fact,
    Gate,
    Plan,
    RadioRule,
    Site,
)
from guyline.core.radio.airtime import time_on_air_s
from guyline.core.radio.busy_hour import busy_hour_packets, most_packets_per_hour
from guyline.core.radio.rules import (
    Emission,
    RuleAnswer,
    RuleCheck,
    band_check,
    bandwidth_check,
    density_check,
    dwell_check,
    max_tx_power_dbm,
    power_check,
    rule_path,
)
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Quantity,
    Remedy,
    RemedyAction,
    Verdict,
    Working,
)


def rule_findings(plan: Plan, site: Site) -> tuple[Finding, ...]:
    """Findings about radiated power and duty cycle against the rule of the plan."""
    rule = plan.radio_rule
    if rule is None:
        return (_no_rule(site),)
    power = _radiated_power(plan, site, rule)
    duty = () if rule.duty_fraction is None else (_duty(plan, site, rule),)
    listening = (_listening(site, rule),) if rule.must_listen is Fact.YES else ()
    return (power, *duty, *_other_limits(plan, site, rule), *listening)


def _listening(site: Site, rule: RadioRule) -> Finding:
    """Whether the radio listens before it talks, where the rule asks for that."""
    listens = site.radio.listens
    verdict = {
        Fact.YES: Verdict.GO,
        Fact.NO: Verdict.NO_GO,
        Fact.UNKNOWN: Verdict.NOT_ASSESSED,
    }[listens]
    remedies = {
        Fact.NO: Remedy(
            action=RemedyAction.OBTAIN,
            site_id=site.site_id,
            what="a radio that listens before it talks, or another rule",
        ),
        Fact.UNKNOWN: Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="whether the radio listens before it talks",
        ),
    }
    return Finding(
        code=FindingCode.LISTENING,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=verdict,
        quantity="listening before talking",
        facts=(("rule", rule.name), ("listens", str(listens))),
        evidence=rule.source,
        evidence_on=rule.checked_on,
        working=Working(
            formula="the rule asks for it, so the radio must do it by itself and always",
            inputs=(Quantity(name="the radio listens", value=str(listens), source="plan"),),
            source=rule.source,
            confidence=f"{rule.confidence or 'not stated'}; confirm with your regulator",
        ),
        remedy=remedies.get(listens),
    )


def _no_rule(site: Site) -> Finding:
    return Finding(
        code=FindingCode.RADIATED_POWER,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=Verdict.NOT_ASSESSED,
        quantity="radiated power",
        unit="dBm",
        comparison=Comparison.AT_MOST,
        facts=(("rule", ""),),
        working=Working(formula="none: limit not entered"),
        remedy=Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="the radio rule that applies here, with its source",
        ),
    )


def _emission(plan: Plan, site: Site) -> Emission:
    profile = plan.radio_profile
    return Emission(
        tx_power_dbm=site.radio.tx_power_dbm,
        feeder_loss_db=feeder_loss_of(site, profile.frequency_hz),
        gain_dbi=site.antenna.gain_dbi,
        frequency_hz=profile.frequency_hz,
        bandwidth_hz=profile.bandwidth_hz,
    )


def _other_limits(plan: Plan, site: Site, rule: RadioRule) -> tuple[Finding, ...]:
    """Band, bandwidth, power density and length of a transmission, as far as they are entered."""
    emission = _emission(plan, site)
    checks = (
        band_check(rule, emission),
        bandwidth_check(rule, emission),
        density_check(rule, emission),
        dwell_check(rule, _time_on_air_s(plan, site)),
    )
    return tuple(
        _limit_finding(site, rule, check)
        for check in checks
        if check.answer is not RuleAnswer.NOT_ENTERED
    )


_LIMIT_VERDICTS = {
    RuleAnswer.WITHIN: Verdict.GO,
    RuleAnswer.OVER: Verdict.NO_GO,
    RuleAnswer.UNKNOWN: Verdict.NOT_ASSESSED,
}
_LIMIT_REMEDIES = {
    RuleAnswer.OVER: (RemedyAction.OBTAIN, "a radio profile or a rule that go together"),
    RuleAnswer.UNKNOWN: (RemedyAction.ENTER, "transmit power, feeder and antenna gain"),
}


def _limit_finding(site: Site, rule: RadioRule, check: RuleCheck) -> Finding:
    remedy = _LIMIT_REMEDIES.get(check.answer)
    return Finding(
        code=FindingCode.RULE_LIMIT,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=_LIMIT_VERDICTS[check.answer],
        quantity=check.quantity,
        value=check.value,
        limit=check.limit,
        unit=check.unit,
        comparison=Comparison.AT_MOST,
        facts=(("rule", rule.name),),
        evidence=rule.source,
        evidence_on=rule.checked_on,
        working=Working(
            formula=_LIMIT_FORMULAS[check.unit],
            inputs=(
                Quantity(name=check.quantity, value=check.value, unit=check.unit, source="plan"),
                Quantity(name="limit", value=check.limit, unit=check.unit, source=rule.source),
            ),
            source=rule.source,
            confidence=f"{rule.confidence or 'not stated'}; confirm with your regulator",
        ),
        remedy=None
        if remedy is None
        else Remedy(action=remedy[0], site_id=site.site_id, what=remedy[1]),
    )


_LIMIT_FORMULAS = {
    "kHz": "edges of the signal, with 10 parts per million of drift, against those of the rule",
    "dBm": "power x share of the bandwidth, the chirp taken as even",
    "s": "time on air of one packet",
}


def _time_on_air_s(plan: Plan, site: Site) -> float:
    profile = plan.radio_profile
    return time_on_air_s(
        site.payload_bytes,
        profile.spreading_factor,
        profile.bandwidth_hz,
        coding_rate=profile.coding_rate,
        preamble_symbols=profile.preamble_symbols,
    )


def _radiated_power(plan: Plan, site: Site, rule: RadioRule) -> Finding:
    emission = _emission(plan, site)
    check = power_check(rule, emission)
    value, verdict = check.value, _LIMIT_VERDICTS[check.answer]
    power, feeder, gain = (emission.tx_power_dbm, emission.feeder_loss_db, emission.gain_dbi)
    remedy = None
    if value is None:
        remedy = Remedy(
            action=RemedyAction.ENTER,
            site_id=site.site_id,
            what="transmit power, feeder and antenna gain",
        )
    elif verdict is Verdict.NO_GO and None not in (power, feeder, gain):
        assert power is not None
        assert feeder is not None
        assert gain is not None
        # rounded down to a whole dB, the step in which such radios are set
        remedy = Remedy(
            action=RemedyAction.LOWER_TX_POWER,
            site_id=site.site_id,
            value=float(round(max_tx_power_dbm(rule, feeder, gain, power), 6) // 1),
            unit="dBm",
        )
    return Finding(
        code=FindingCode.RADIATED_POWER,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=verdict,
        quantity=f"radiated power ({rule.limit_kind})",
        value=value,
        limit=rule.limit_dbm,
        unit=f"dBm {rule.limit_kind}",
        comparison=Comparison.AT_MOST,
        facts=(("rule", rule.name), ("kind", rule.limit_kind)),
        evidence=rule.source,
        evidence_on=rule.checked_on,
        working=Working(
            formula="EIRP = transmit power - feeder + gain; ERP = EIRP - 2.15 dB",
            inputs=(
                Quantity(
                    name="transmit power", value=site.radio.tx_power_dbm, unit="dBm", source="plan"
                ),
                Quantity(
                    name="feeder loss", value=emission.feeder_loss_db, unit="dB", source="plan"
                ),
                Quantity(
                    name="antenna gain", value=site.antenna.gain_dbi, unit="dBi", source="plan"
                ),
                Quantity(name="limit", value=rule.limit_dbm, unit="dBm", source=rule.source),
            ),
            source=rule_path(rule),
            confidence=f"{rule.confidence or 'not stated'}; confirm with your regulator",
        ),
        remedy=remedy,
    )


def _duty(plan: Plan, site: Site, rule: RadioRule) -> Finding:
    assert rule.duty_fraction is not None
    airtime_s = _time_on_air_s(plan, site)
    packets = site.packets_per_hour
    busiest = None if packets is None else busy_hour_packets(packets)
    percent = None if busiest is None else 100.0 * busiest * airtime_s / 3600.0
    limit = 100.0 * rule.duty_fraction
    verdict = (
        Verdict.NOT_ASSESSED
        if percent is None
        else Verdict.GO
        if percent <= limit
        else Verdict.NO_GO
    )
    remedy = None
    if verdict is Verdict.NOT_ASSESSED:
        what = "the packets an hour it sends, its own and relayed"
        remedy = Remedy(action=RemedyAction.ENTER, site_id=site.site_id, what=what)
    elif verdict is Verdict.NO_GO:
        most = most_packets_per_hour(airtime_s, 3600.0 * rule.duty_fraction)
        what = f"a traffic plan with at most {floor(most)} packets an hour here"
        remedy = Remedy(action=RemedyAction.OBTAIN, site_id=site.site_id, what=what)
    return Finding(
        code=FindingCode.DUTY_CYCLE,
        gate=Gate.RULES,
        site_id=site.site_id,
        verdict=verdict,
        quantity="duty cycle in the busiest hour of a day",
        value=percent,
        limit=limit,
        unit="%",
        comparison=Comparison.AT_MOST,
        facts=(("rule", rule.name), ("airtime", f"{airtime_s * 1e3:.0f}")),
        evidence=rule.source,
        evidence_on=rule.checked_on,
        working=Working(
            formula=(
                "most packets in any 60 minutes of a day (99 % of days, Poisson scan statistic)"
                " x time on air / 3600 s"
            ),
            inputs=(
                Quantity(name="packets an hour, on the mean", value=packets, source="plan"),
                Quantity(
                    name="packets in the busiest hour of a day",
                    value=None if busiest is None else float(busiest),
                ),
                Quantity(name="payload", value=float(site.payload_bytes), unit="bytes"),
                Quantity(name="time on air", value=airtime_s * 1e3, unit="ms"),
            ),
            source="time on air: formula of the transceiver data sheets; scan statistic: Alm 1983",
            confidence=f"{rule.confidence or 'not stated'}; confirm with your regulator",
        ),
        remedy=remedy,
    )
