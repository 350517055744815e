"""Coverage on the ground, here or on a cluster."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from guyline.command_line.printing import print_json
from guyline.core.plan import SiteId
from guyline.errors import InputError
from guyline.services.answers import cluster_answer, coverage_answer
from guyline.services.coverage import CoverageReport, plan_coverage
from guyline.services.coverage_cluster import cluster_coverage, connect
from guyline.services.coverage_files import (
    ENDINGS,
    PAGE_ENDINGS,
    refuse_unknown_ending,
    write_for_gis,
)
from guyline.services.coverage_places import PlaceServed
from guyline.services.opening import OpenedPlan, open_plan
from guyline.services.plan_files import load_plan
from guyline.services.wording import counted
from guyline.services.wording.numbers import percent


def coverage(parsed: argparse.Namespace) -> int:
    """Work coverage out, write it where asked, and print what it comes to."""
    if parsed.scheduler is not None:
        return _coverage_on_cluster(parsed)
    if parsed.out is not None:
        refuse_unknown_ending(parsed.out, ENDINGS)
    opened = open_plan(parsed.plan)
    report = plan_coverage(
        opened.plan,
        opened.terrain,
        tuple(SiteId(name) for name in parsed.site or ()),
        radius_m=1000.0 * parsed.radius,
        cell_m=parsed.cell,
    )
    if parsed.out is not None:
        _write_coverage(opened, report, parsed.out)
    if parsed.json:
        print_json(coverage_answer(report, parsed.out))
    else:
        _print_coverage(report, parsed.out)
    return 0


def _coverage_on_cluster(parsed: argparse.Namespace) -> int:
    if parsed.out is None:
        raise InputError("Work on a cluster needs a file.", advice="Add --out FILE.tif.")
    plan = load_plan(parsed.plan)
    client = connect(parsed.scheduler)
    try:
        report = cluster_coverage(
            plan,
            parsed.plan.resolve().parent,
            parsed.out,
            client=client,
            radius_m=1000.0 * parsed.radius,
            cell_m=parsed.cell or 30.0,
            site_ids=tuple(SiteId(name) for name in parsed.site or ()),
        )
    finally:
        client.close()
    if parsed.json:
        print_json(cluster_answer(report, parsed.out))
    else:
        print(
            f"{counted(len(report.site_ids), 'site')} serve {report.area_served_km2:.1f} km²;"
            f" {report.cells:,} cells in {report.seconds:.1f} s"
        )
        for site_id, why in report.skipped:
            print(f"{site_id} left out: unknown {why}")
        print(parsed.out.resolve())
    return 0


def _write_coverage(opened: OpenedPlan, report: CoverageReport, out: Path) -> None:
    """Write what the ending says; only a page needs Qt, and no display."""
    if out.suffix.lower() not in PAGE_ENDINGS:
        write_for_gis(report.coverage, out)
        return
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from guyline.viewmodels.paper.coverage_page_files import write_coverage_page

    write_coverage_page(
        opened.plan,
        report,
        out,
        sources=opened.terrain.sources,
        shapes=opened.assessor.layers.shapes(opened.plan.map_layers),
        plan_name=opened.path.name,
    )


def _print_coverage(report: CoverageReport, out: Path | None) -> None:
    coverage = report.coverage
    print(
        f"{', '.join(coverage.site_ids) or 'no site'} serve {coverage.area_served_km2:.1f} of"
        f" {coverage.area_known_km2:.1f} km² with {coverage.required_db:.0f} dB of margin,"
        " talking out and talking back"
    )
    for site_id, why in report.skipped:
        print(f"{site_id} left out: unknown {why}")
    print(
        f"Talking out alone {report.area_out_km2:.1f} km²,"
        f" talking back alone {report.area_back_km2:.1f} km²"
    )
    if report.tally.words:
        print(f"Served: {report.tally.words}")
    for known in report.places:
        print(f"  {known.place.name}: {known.state}{_place_figures(known)}")
    if out is not None:
        print(out.resolve())


def _place_figures(known: PlaceServed) -> str:
    """Margin and who gives it, "" where nothing is known."""
    if known.margin_db is None or known.out_db is None or known.back_db is None:
        return ""
    return (
        f", margin {known.margin_db:.1f} dB from {known.best} (out {known.out_db:.1f},"
        f" back {known.back_db:.1f}), {percent(known.probability or 0.0)} likely,"
        f" {counted(known.servers, 'server')}"
    )
