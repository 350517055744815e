"""What the program says, as JSON for scripts: unknown and endless numbers are null."""

from __future__ import annotations

import math
from dataclasses import asdict
from pathlib import Path

from guyline.core.network.effect import NetworkAssessment
from guyline.core.network.link_matrix import LinkMatrix
from guyline.core.network.path import PathAssessment
from guyline.core.network.readings import agreement_of, held_readings
from guyline.core.network.traffic import PlanTraffic
from guyline.core.plan import Gate, Plan
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.assessment import PlanAssessment, SiteAssessment
from guyline.core.readiness.bill_of_materials import BillLine
from guyline.core.readiness.check_states import CheckState, check_states
from guyline.core.readiness.configuration import Configuration
from guyline.core.readiness.finding import Finding
from guyline.core.readiness.gate_checks import FRESH_DAYS
from guyline.core.readiness.mending import Mending
from guyline.services.coverage import CoverageReport
from guyline.services.coverage_cluster import ClusterReport
from guyline.services.coverage_places import uncovered
from guyline.services.documents.readings_page import reading_lines
from guyline.services.wording import decision_line, remedy_sentence, sentence

Json = dict[str, object]


def check_answer(assessment: PlanAssessment, mending: Mending | None = None) -> Json:
    """Verdicts, gates, findings and network; what would mend one site where that is asked."""
    asked = {} if mending is None else {"mending": _mending_json(mending)}
    return asked | {
        "plan": assessment.plan.incident.name,
        "verdict": str(assessment.verdict),
        "decision": decision_line(assessment),
        "sites": [_site_json(assessment.plan, site) for site in assessment.sites],
        "checks": [_check_json(state) for state in check_states(assessment)],
        "kit": [_bill_json(line) for line in assessment.bill],
        "configuration": _configuration_json(assessment.configuration),
        "network": {
            **_network_json(assessment.network),
            "traffic": _traffic_json(assessment.plan, assessment.traffic),
        },
    }


def _mending_json(mending: Mending) -> Json:
    return {
        "site": mending.site_id,
        "reached": str(mending.reached),
        "steps": [_finding_json(finding) for finding in mending.steps],
        "left": [_finding_json(finding) for finding in mending.left],
    }


def _check_json(state: CheckState) -> Json:
    check = state.check
    return {
        "number": check.number,
        "complaint": check.complaint,
        "computed_by": [str(code) for code in check.codes],
        "question": check.question or None,
        "gate": None if check.gate is None else str(check.gate),
        "elsewhere": None if check.elsewhere is None else str(check.elsewhere),
        "good": list(state.good),
        "open": list(state.open),
        "answered_by": list(state.answered_by),
    }


def _bill_json(line: BillLine) -> Json:
    return {
        "item": line.name,
        "needed": line.needed,
        "held": line.held,
        "in_stock": line.in_stock,
        "lacking": line.lacking,
        "spares_lacking": line.spares_lacking,
        "promised_twice": line.promised_twice,
        "sites_open": {share.site_id: share.open for share in line.shares if share.open},
    }


def _configuration_json(proof: Configuration) -> Json:
    plain = _plain(asdict(proof))
    assert isinstance(plain, dict)
    return {"is_proven": proof.is_proven, **plain}


def _network_json(network: NetworkAssessment) -> Json:
    return {
        "needs": [
            {
                "from": known.need.from_id,
                "to": known.need.to_id,
                "priority": known.need.priority,
                "met": known.is_met,
                "route": list(known.route),
                "probability": _number(known.probability),
            }
            for known in network.needs
        ],
        "needs_met": sum(known.is_met for known in network.needs),
        "served_fraction": _number(network.served_fraction),
        "cut_off": list(network.cut_off),
        "weak_spots": [
            {"site": spot.site_id, "needs_lost": len(spot.needs_lost)}
            for spot in network.weak_spots
        ],
        "next_actions": [
            {
                "make_ready": list(action.site_ids),
                "needs_gained": len(action.needs_gained),
                "weight_gained": _number(action.weight_gained),
            }
            for action in network.next_actions
        ],
        "met_by_day": list(network.met_by_day),
        "power_unknown": list(network.power_unknown),
        "days": [
            {
                "day": n,
                "up": list(day.up),
                "cut_off": list(day.cut_off),
                "needs_met": day.needs_met,
                "needs_unmet": [
                    {"from": known.need.from_id, "to": known.need.to_id}
                    for known, is_met in zip(network.needs, day.met, strict=True)
                    if not is_met
                ],
            }
            for n, day in enumerate(network.days)
        ],
    }


def _traffic_json(plan: Plan, traffic: PlanTraffic | None) -> Json | None:
    if traffic is None:
        return None
    capacity = traffic.capacity
    hub = None if capacity is None or capacity.hub is None else plan.sites[capacity.hub].site_id
    return {
        "sites": [
            {
                "site": sent.site_id,
                "packets_per_hour": _number(sent.packets_per_hour, 1),
                "airtime_s_per_hour": _number(sent.airtime_s_per_hour),
                "busy_hour_s": _number(sent.busy_hour_s),
                "can_carry_per_hour": _number(sent.can_carry_per_hour, 1),
            }
            for sent in traffic.sites
        ],
        "needs": [
            {
                "from": known.need.from_id,
                "to": known.need.to_id,
                "route": list(known.route),
                "delivery": _number(known.delivery, 4),
            }
            for known in traffic.needs
        ],
        "capacity": None
        if capacity is None
        else {
            "factor": _number(capacity.factor),
            "packets_per_hour": _number(capacity.packets_per_hour, 1),
            "hub": hub,
        },
    }


def _site_json(plan: Plan, site: SiteAssessment) -> Json:
    return {
        "identifier": site.site_id,
        "name": plan.site(site.site_id).name,
        "verdict": str(site.verdict),
        "gates": [_gate_json(plan, site, gate) for gate in Gate],
        "findings": [_finding_json(finding) for finding in site.findings],
    }


def _gate_json(plan: Plan, site: SiteAssessment, gate: Gate) -> Json:
    record = plan.site(site.site_id).record(gate)
    return {
        "gate": str(gate),
        "verdict": str(site.gate_verdict(gate)),
        "evidence": record.evidence or None,
        "answered_by": record.answered_by or None,
        "answered_on": None if record.answered_on is None else record.answered_on.isoformat(),
        "owner": record.owner or None,
        "due_on": None if record.due_on is None else record.due_on.isoformat(),
        "expires_on": None if record.expires_on is None else record.expires_on.isoformat(),
        "fresh_days": FRESH_DAYS.get(gate),
    }


def _finding_json(finding: Finding) -> Json:
    return {
        "code": str(finding.code),
        "gate": str(finding.gate),
        "verdict": str(finding.verdict),
        "message": sentence(finding),
        "quantity": finding.quantity,
        "value": _number(finding.value),
        "limit": _number(finding.limit),
        "unit": finding.unit,
        "comparison": str(finding.comparison),
        "margin": _number(finding.margin),
        "far": finding.far_id,
        "evidence": finding.evidence,
        "evidence_on": None if finding.evidence_on is None else finding.evidence_on.isoformat(),
        "remedy": remedy_sentence(finding) or None,
    }


def path_answer(path: PathAssessment, azimuth_deg: float, back_azimuth_deg: float) -> Json:
    profile = path.profile
    return {
        "distance_m": _number(profile.length_m, 1),
        "azimuth_deg": _number(azimuth_deg, 2),
        "back_azimuth_deg": _number(back_azimuth_deg, 2),
        "frequency_hz": path.frequency_hz,
        "earth_k": path.earth_k,
        "free_space_db": _number(path.free_space_db),
        "diffraction_db": _number(path.diffraction_db),
        "clutter_db": _number(path.clutter_db),
        "loss_db": _number(path.loss_db),
        "worst": None
        if path.worst is None
        else {
            "distance_m": _number(path.worst.distance_m, 1),
            "ground_amsl_m": _number(path.worst.ground_amsl_m, 1),
            "clearance_m": _number(path.worst.clearance_m, 1),
            "fresnel_radius_m": _number(path.worst.fresnel_radius_m, 1),
            "clutter_m": _number(path.worst.clutter_m, 1),
            "clearance_ratio": _number(path.worst.clearance_ratio),
        },
        "void_ranges_m": [[_number(a, 1), _number(b, 1)] for a, b in path.void_ranges_m],
        "terrain": profile.source,
        "profile": {
            "distance_m": [_number(float(d), 1) for d in profile.distance_m],
            "ground_amsl_m": [_number(float(h), 1) for h in profile.ground_amsl_m],
        },
    }


def power_answer(power: PowerAssessment) -> Json:
    content: Json = {}
    for name, value in asdict(power).items():
        if name != "alive_runs":  # bits for the window's band of days
            content[name] = _plain(value)
    content["identifier"] = content.pop("site_id")
    return content


def _plain(value: object) -> object:
    if isinstance(value, bool) or value is None or isinstance(value, int | str):
        return value
    if isinstance(value, float):
        return _number(value, 4)
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    return str(value)


def coverage_answer(report: CoverageReport, out: Path | None) -> Json:
    coverage, tally = report.coverage, report.tally
    return {
        "servers": list(coverage.site_ids),
        "skipped": [{"site": site_id, "missing": why} for site_id, why in report.skipped],
        "cells": report.cells,
        "seconds": _number(report.seconds, 4),
        "cells_per_second": _number(report.cells_per_second, 0),
        "cell_m": _number(coverage.grid.cell_m, 2),
        "area_served_km2": _number(coverage.area_served_km2),
        "area_known_km2": _number(coverage.area_known_km2),
        "area_talk_out_km2": _number(report.area_out_km2),
        "area_talk_back_km2": _number(report.area_back_km2),
        "needs": tally.needs,
        "needs_served": tally.needs_served,
        "people": tally.people,
        "people_served": tally.people_served,
        "weight": _number(tally.weight, 2),
        "weight_served": _number(tally.weight_served, 2),
        "uncovered": [known.place.name for known in uncovered(report.places)],
        "places": [
            {
                "name": known.place.name,
                "people": known.place.people,
                "weight": known.place.weight,
                "servers_wanted": known.place.servers_wanted,
                "served": known.is_served,
                "margin_db": _number(known.margin_db, 1),
                "talk_out_db": _number(known.out_db, 1),
                "talk_back_db": _number(known.back_db, 1),
                "received_dbm": _number(known.received_dbm, 1),
                "probability": _number(known.probability),
                "servers": known.servers,
                "best": known.best,
            }
            for known in report.places
        ],
        "out": None if out is None else str(out),
    }


def cluster_answer(report: ClusterReport, out: Path) -> Json:
    return {
        "servers": list(report.site_ids),
        "skipped": [{"site": site_id, "missing": why} for site_id, why in report.skipped],
        "cells": report.cells,
        "seconds": _number(report.seconds, 4),
        "cells_per_second": _number(report.cells / report.seconds, 0),
        "area_served_km2": _number(report.area_served_km2),
        "out": str(out),
    }


def pairs_answer(matrix: LinkMatrix) -> Json:
    place = {site_id: n for n, site_id in enumerate(matrix.site_ids)}
    probability = matrix.probability
    return {
        "required_margin_db": matrix.required_db,
        "pairs": [
            {
                "from": near,
                "to": far,
                "margin_db": _number(margin_db, 1),
                "probability": _number(float(probability[place[near], place[far]])),
            }
            for near, far, margin_db in matrix.pairs()
        ],
    }


def readings_answer(assessment: PlanAssessment) -> Json:
    """Both directions of every link as planned and as read; what was not read is null."""
    plan = assessment.plan
    held = [one for link in assessment.links for one in held_readings(plan, link)]
    agreement = agreement_of(held)
    return {
        "agreement": None
        if agreement is None
        else {
            "count": agreement.count,
            "mean_db": _number(agreement.mean_db),
            "sd_db": _number(agreement.sd_db),
            "inside_90": agreement.inside_90,
            "with_spread": agreement.with_spread,
        },
        "directions": [
            {
                "talker": line.talker_id,
                "listener": line.listener_id,
                "planned_dbm": _number(line.planned_dbm),
                "low_dbm": _number(line.low_dbm),
                "high_dbm": _number(line.high_dbm),
                "sensitivity_dbm": _number(line.sensitivity_dbm),
                "level_dbm": _number(line.level_dbm),
                "snr_db": _number(line.snr_db),
                "packets": line.packets or None,
                "signed": line.signed or None,
            }
            for link in assessment.links
            for line in reading_lines(plan, link)
        ],
    }


def _number(value: float | None, digits: int = 3) -> float | None:
    """A number as JSON can carry it: unknown and endless are null."""
    if value is None or not math.isfinite(value):
        return None
    return round(value, digits)
