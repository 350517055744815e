"""Judging a plan: check, power, readings; and all of it where no window can open."""

from __future__ import annotations

import argparse
from math import isfinite
from pathlib import Path

from guyline.command_line.paper import print_sheets
from guyline.command_line.printing import (
    ALL_GO,
    NOT_ALL_GO,
    assess,
    no_site,
    print_json,
    refuse,
)
from guyline.core.plan import SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.core.readiness.mending import Mending, smallest_mending
from guyline.errors import GuylineError
from guyline.services.answers import check_answer, power_answer, readings_answer
from guyline.services.documents.cure_words import cure_words, ranking_words
from guyline.services.documents.readings_page import agreement_words, line_words, reading_lines
from guyline.services.opening import OpenedPlan, demo_copy, open_plan
from guyline.services.plan_files import SUFFIX
from guyline.services.wording import counted, decision_line, remedy_sentence, sentence
from guyline.services.wording.numbers import percent


def check(parsed: argparse.Namespace) -> int:
    """Print every site's verdict, or the smallest set of mendings for one."""
    opened = open_plan(parsed.plan)
    assessment = assess(opened)
    mending = None if parsed.mend is None else _mending(opened, parsed.mend)
    if parsed.json:
        print_json(check_answer(assessment, mending))
    elif mending is not None:
        _print_mending(mending)
    else:
        print_readiness(assessment)
    return ALL_GO if assessment.verdict is Verdict.GO else NOT_ALL_GO


def _mending(opened: OpenedPlan, name: str) -> Mending:
    site_id = SiteId(name)
    if not opened.plan.has_site(site_id):
        raise no_site(opened.plan, name)
    return smallest_mending(opened.plan, site_id, opened.assessor.assess)


def _print_mending(mending: Mending) -> None:
    """Print what must be mended, each proven by judging the plan again."""
    steps = counted(len(mending.steps), "mending")
    print(f"{mending.site_id} would be {mending.reached} after {steps}:")
    for finding in mending.steps:
        print(f"  {remedy_sentence(finding)}  ({sentence(finding)})")
    for finding in mending.left:
        print(f"  left over: {sentence(finding)}")


def print_readiness(assessment: PlanAssessment) -> None:
    """Print every site's verdict, worst first, with what keeps it from GO."""
    print(decision_line(assessment))
    for site in assessment.worst_first:
        print(f"\n{site.site_id}  {assessment.plan.site(site.site_id).name}: {site.verdict}")
        for finding in site.findings:
            if finding.verdict is Verdict.GO:
                continue
            print(f"  {finding.verdict:<18}  {sentence(finding)}")
            if remedy := remedy_sentence(finding):
                print(f"  {'':<18}  -> {remedy}")


def power(parsed: argparse.Namespace) -> int:
    """Print the power budget of every site."""
    assessment = assess(open_plan(parsed.plan))
    if parsed.json:
        print_json({"sites": [power_answer(site.power) for site in assessment.sites]})
    else:
        for site in assessment.sites:
            _print_power(site.power)
    return 0


def _print_power(known: PowerAssessment) -> None:
    state = {True: "lacks power", False: "has power", None: "unknown"}[known.lacks_power]
    print(f"{known.site_id}: {known.source}, {state}")
    rows = (
        ("load", known.load_wh_per_day, "Wh/day"),
        ("panel brings in its worst month", known.yield_wh_per_day, "Wh/day"),
        ("usable battery", known.usable_battery_wh, "Wh"),
        ("days without sun", known.days_without_sun, "days"),
        ("shortfall", known.shortfall_wh_per_day, "Wh/day"),
        ("first likely outage after", known.hours_to_outage, "h"),
        ("stands in for mains", known.backup_hours, "h"),
        ("mains may be late by", known.late_return_hours, "h"),
        ("generator runs", known.generator_hours_per_day, "h/day"),
        ("fuel burnt", known.fuel_l_per_day, "L/day"),
        ("fuel lasts", known.fuel_days, "days"),
    )
    for name, value, unit in rows:
        if value is not None and isfinite(value):
            print(f"  {name:<32} {value:9.2f} {unit}")
    if known.survival_probability is not None:
        print(f"  {'no outage in the mission':<32} {percent(known.survival_probability):>9}")
    if known.loss_of_load_probability is not None:
        print(f"  {'off the air over the years':<32} {percent(known.loss_of_load_probability):>9}")
    for cure in known.cures:
        print(f"  mended by: {cure_words(cure)}")
    if ranking := ranking_words(known.cures):
        print(f"  ranked: {ranking}")
    if known.missing:
        print(f"  unknown: {', '.join(known.missing)}")


def readings(parsed: argparse.Namespace) -> int:
    """Print what crews read on every link against what was planned."""
    opened = open_plan(parsed.plan)
    assessment = assess(opened)
    if parsed.json:
        print_json(readings_answer(assessment))
        return 0
    print(agreement_words(assessment.plan, assessment.links))
    for link in assessment.links:
        for line in reading_lines(assessment.plan, link):
            told = "; ".join(words for words in line_words(line) if words)
            print(f"{line.listener_id} from {line.talker_id}: {told}")
    return 0


def do_without_window(plan: Path | None) -> int:
    """Do the main job where no window can open: readiness here, site sheets beside the plan."""
    print("There is no display, so no window can open. Readiness and site sheets instead:\n")
    try:
        path = plan or demo_copy(Path.cwd() / "guyline-demo")
        opened = open_plan(path)
        assessment = assess(opened)
        print_readiness(assessment)
        sheets = path.with_name(path.name.removesuffix(SUFFIX) + "-sheets.pdf")
        print_sheets(opened, assessment, sheets)
    except GuylineError as error:
        return refuse(error)
    print(f"\nSite sheets: {sheets.resolve()}")
    return ALL_GO if assessment.verdict is Verdict.GO else NOT_ALL_GO
