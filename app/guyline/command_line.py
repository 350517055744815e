"""The same work without a window: check, profile, power, sheet, coverage, files in and out."""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from pathlib import Path

from guyline import __version__
from guyline.core.network.path import PathAssessment
from guyline.core.plan import Plan, SiteId
from guyline.core.power.assessment import PowerAssessment
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.readiness.finding import Verdict
from guyline.core.readiness.mending import Mending, smallest_mending
from guyline.errors import GuylineError, InputError
from guyline.services.answers import (
    Json,
    check_answer,
    cluster_answer,
    coverage_answer,
    pairs_answer,
    path_answer,
    power_answer,
)
from guyline.services.coverage import CoverageReport, plan_coverage
from guyline.services.coverage_cluster import cluster_coverage, connect
from guyline.services.coverage_files import (
    ENDINGS,
    PAGE_ENDINGS,
    refuse_unknown_ending,
    write_for_gis,
)
from guyline.services.coverage_places import PlaceServed
from guyline.services.documents.content import Document
from guyline.services.documents.coverage_page import worked_out_page
from guyline.services.documents.content import Document
from guyline.services.documents.coverage_page import worked_out_page
from guyline.services.documents.imprint import Printing
from guyline.services.documents.cure_words import cure_words
from guyline.services.documents.imprint import Printing
from guyline.services.geodesy import inverse
from guyline.services.interchange import FORMATS
from guyline.services.link_matrix import link_matrix
from guyline.services.opening import OpenedPlan, demo_copy, open_plan
from guyline.services.plan_changes import changes_by_owner
from guyline.services.plan_exchange import (
    earlier_copy,
    export_places,
    import_places,
    report_lines,
    share_plan_file,
)
from guyline.services.plan_files import SUFFIX, load_plan, plan_digest
from guyline.services.wording import counted, decision_line, remedy_sentence, sentence
from guyline.services.wording.numbers import percent

ALL_GO, NOT_ALL_GO, CANNOT_READ = 0, 1, 2


def main(arguments: Sequence[str]) -> int:
    """Run one command and return its exit status."""
    parsed = _parser().parse_args([_no_option(argument) for argument in arguments])
    run: Callable[[argparse.Namespace], int] = parsed.run
    try:
        return run(parsed)
    except GuylineError as error:
        return _refuse(error)
    except BrokenPipeError:  # whoever reads has seen enough, as in "guyline check PLAN | head"
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return NOT_ALL_GO


def _no_option(argument: str) -> str:
    """A southern LAT,LON begins with a minus sign; a blank keeps it from being an option."""
    return f" {argument}" if argument[:1] == "-" and argument[1:2].isdigit() else argument


def _refuse(error: GuylineError) -> int:
    print(f"guyline: {error}", file=sys.stderr)
    if error.advice:
        print(f"         {error.advice}", file=sys.stderr)
    return CANNOT_READ


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="guyline",
        description="Plan a temporary off-grid radio network. Without a command, or with only a"
        " plan, the window opens.",
    )
    parser.add_argument("--version", action="version", version=f"guyline {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="judge every site; status 0 if all are GO, else 1")
    check.set_defaults(run=_check)
    profile = commands.add_parser("profile", help="path between two sites or LAT,LON points")
    profile.set_defaults(run=_profile)
    power = commands.add_parser("power", help="power budget of every site")
    power.set_defaults(run=_power)
    sheet = commands.add_parser("sheet", help="site sheets as a PDF")
    sheet.set_defaults(run=_sheet)

    coverage = commands.add_parser("coverage", help="who is reached on the ground")
    coverage.set_defaults(run=_coverage)

    take_in = commands.add_parser("import", help="places of a file into the plan")
    take_in.set_defaults(run=_import)
    export = commands.add_parser("export", help="sites to a file for maps and receivers")
    export.set_defaults(run=_export)
    share = commands.add_parser("share", help="a copy without telephone numbers and gate codes")
    share.set_defaults(run=_share)

    differing = commands.add_parser("changes", help="what changed since an earlier copy")
    differing.set_defaults(run=_changes)

    pairs = commands.add_parser("pairs", help="which sites hear which, listed or not")
    pairs.set_defaults(run=_pairs)

    check.add_argument(
        "--mend", metavar="ID", help="the smallest set of mendings for this site instead"
    )
    for command in (check, profile, power, sheet, coverage, pairs, take_in, export, share):
        command.add_argument("plan", type=Path, metavar="PLAN", help="a .plan.json file")
    profile.add_argument("start", metavar="FROM", help="site identifier or LAT,LON")
    profile.add_argument("end", metavar="TO", help="site identifier or LAT,LON")
    profile.add_argument(
        "--antenna", type=float, default=2.0, metavar="M", help="height of a bare point's antenna"
    )
    for command in (check, profile, power, coverage, pairs):
        command.add_argument("--json", action="store_true", help="print JSON")
    sheet.add_argument("--out", type=Path, required=True, metavar="FILE.pdf")
    sheet.add_argument("--site", action="append", metavar="ID", help="only this site; repeatable")
    sheet.add_argument("--coverage", action="store_true", help="with the page of coverage")
    coverage.add_argument(
        "--site", action="append", metavar="ID", help="served by this site only; repeatable"
    )
    coverage.add_argument(
        "--out", type=Path, metavar="FILE", help=".tif raster, .geojson areas, .pdf page or .png"
    )
    coverage.add_argument(
        "--scheduler", metavar="ADDRESS", help="a Dask scheduler that shares out the sites"
    )
    coverage.add_argument("--cell", type=float, metavar="M", help="side of a cell in metres")
    coverage.add_argument("--radius", type=float, default=40.0, metavar="KM")
    sheet.add_argument("--paper", choices=("A4", "Letter"), default="A4")
    take_in.add_argument("file", type=Path, metavar="FILE", help=", ".join(FORMATS))
    take_in.add_argument("--out", type=Path, metavar=f"NEW{SUFFIX}", help="leave PLAN as it is")
    written = ", ".join(ending for ending, kind in FORMATS.items() if kind.written)
    export.add_argument("--out", type=Path, required=True, metavar="FILE", help=written)
    differing.add_argument("plan", type=Path, metavar="PLAN", help="a .plan.json file")
    differing.add_argument(
        "earlier",
        type=Path,
        nargs="?",
        metavar="EARLIER",
        help="an earlier copy; without it the newest backup copy",
    )
    share.add_argument("--out", type=Path, required=True, metavar=f"FILE{SUFFIX}")
    return parser


def _print_json(content: Json) -> None:
    print(json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False))


# --- check -----------------------------------------------------------------------------------


def _check(parsed: argparse.Namespace) -> int:
    opened = open_plan(parsed.plan)
    assessment = _assess(opened)
    mending = None if parsed.mend is None else _mending(opened, parsed.mend)
    if parsed.json:
        _print_json(check_answer(assessment, mending))
    elif mending is not None:
        _print_mending(mending)
    else:
        print_readiness(assessment)
    return ALL_GO if assessment.verdict is Verdict.GO else NOT_ALL_GO


def _mending(opened: OpenedPlan, name: str) -> Mending:
    site_id = SiteId(name)
    if not opened.plan.has_site(site_id):
        raise _no_site(opened.plan, name)
    return smallest_mending(opened.plan, site_id, opened.assessor.assess)


def _no_site(plan: Plan, name: str) -> InputError:
    return InputError(
        f"The plan has no site {name}.",
        advice="Sites are: " + ", ".join(site.site_id for site in plan.sites),
    )


def _print_mending(mending: Mending) -> None:
    """Print what must be mended, each proven by judging the plan again."""
    steps = counted(len(mending.steps), "mending")
    print(f"{mending.site_id} would be {mending.reached} after {steps}:")
    for finding in mending.steps:
        print(f"  {remedy_sentence(finding)}  ({sentence(finding)})")
    for finding in mending.left:
        print(f"  left over: {sentence(finding)}")


def _assess(opened: OpenedPlan) -> PlanAssessment:
    for problem in opened.problems:
        print(f"guyline: {problem}", file=sys.stderr)
    return opened.assessor.assess(opened.plan)


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


# --- profile ---------------------------------------------------------------------------------


def _profile(parsed: argparse.Namespace) -> int:
    opened = open_plan(parsed.plan)
    start = _end(opened.plan, parsed.start, parsed.antenna)
    end = _end(opened.plan, parsed.end, parsed.antenna)
    path = opened.assessor.path(opened.plan, *start, *end)
    line = inverse(start[0], start[1], end[0], end[1])
    content = path_answer(path, line.azimuth_deg, line.back_azimuth_deg)
    if parsed.json:
        _print_json(content)
    else:
        _print_path(parsed.start, parsed.end, path, line.azimuth_deg, line.back_azimuth_deg)
    return 0


def _end(plan: Plan, text: str, antenna_agl_m: float) -> tuple[float, float, float]:
    """Latitude, longitude and antenna height of a site or of a LAT,LON point."""
    if plan.has_site(SiteId(text)):
        site = plan.site(SiteId(text))
        if site.position is None or site.antenna_agl_m is None:
            raise InputError(
                f"Site {text} has no position or no antenna height.",
                advice="Enter both in the plan, or give LAT,LON instead.",
            )
        return site.position.lat_deg, site.position.lon_deg, site.antenna_agl_m
    try:
        lat_deg, lon_deg = (float(part) for part in text.split(","))
    except ValueError:
        raise InputError(
            f"{text!r} is neither a site of the plan nor LAT,LON.",
            advice="Sites are: " + ", ".join(site.site_id for site in plan.sites),
        ) from None
    if not (abs(lat_deg) <= 90.0 and abs(lon_deg) <= 180.0):
        raise InputError(
            f"{text!r} is outside latitude ±90 and longitude ±180 degrees.",
            advice="Latitude comes first.",
        )
    return lat_deg, lon_deg, antenna_agl_m


def _print_path(
    start: str, end: str, path: PathAssessment, azimuth_deg: float, back_azimuth_deg: float
) -> None:
    print(
        f"{start} to {end}: {path.profile.length_m / 1000:.2f} km,"
        f" bearing {azimuth_deg:05.1f}° true, back {back_azimuth_deg:05.1f}° true"
    )
    for from_m, to_m in path.void_ranges_m:
        print(f"No terrain data between km {from_m / 1000:.1f} and {to_m / 1000:.1f}.")
    if path.loss_db is None or path.diffraction_db is None or path.worst is None:
        print(f"Free space {path.free_space_db:.1f} dB; the rest is unknown.")
        return
    print(
        f"Path loss {path.loss_db:.1f} dB = free space {path.free_space_db:.1f} dB"
        f" + diffraction {path.diffraction_db:.1f} dB"
    )
    for worst, k in ((path.worst, path.earth_k), (path.worst_low_k, path.low_k)):
        if worst is not None:
            print(
                f"k = {k:.2f}: worst at km {worst.distance_m / 1000:.2f},"
                f" clearance {worst.clearance_m:.1f} m,"
                f" {worst.clearance_ratio:.2f} of the first Fresnel zone"
            )


# --- power -----------------------------------------------------------------------------------


def _power(parsed: argparse.Namespace) -> int:
    assessment = _assess(open_plan(parsed.plan))
    if parsed.json:
        _print_json({"sites": [power_answer(site.power) for site in assessment.sites]})
    else:
        for site in assessment.sites:
            _print_power(site.power)
    return 0


def _print_power(power: PowerAssessment) -> None:
    state = {True: "lacks power", False: "has power", None: "unknown"}[power.lacks_power]
    print(f"{power.site_id}: {power.source}, {state}")
    rows = (
        ("load", power.load_wh_per_day, "Wh/day"),
        ("panel brings in its worst month", power.yield_wh_per_day, "Wh/day"),
        ("usable battery", power.usable_battery_wh, "Wh"),
        ("days without sun", power.days_without_sun, "days"),
        ("shortfall", power.shortfall_wh_per_day, "Wh/day"),
        ("fuel lasts", power.fuel_days, "days"),
    )
    for name, value, unit in rows:
        if value is not None:
            print(f"  {name:<32} {value:9.2f} {unit}")
    if power.survival_probability is not None:
        print(f"  {'no outage in the mission':<32} {percent(power.survival_probability):>9}")
    for cure in power.cures:
        print(f"  mended by: {cure_words(cure)}")
    if power.missing:
        print(f"  unknown: {', '.join(power.missing)}")


# --- sheet -----------------------------------------------------------------------------------


def _sheet(parsed: argparse.Namespace) -> int:
    opened = open_plan(parsed.plan)
    wanted = tuple(SiteId(name) for name in parsed.site or ())
    for site_id in wanted:
        if not opened.plan.has_site(site_id):
            raise _no_site(opened.plan, site_id)
    more = [_coverage_page(opened)] if parsed.coverage else []
    print_sheets(opened, _assess(opened), parsed.out, parsed.paper, wanted or None, more)
    print(parsed.out.resolve())
    return 0


def print_sheets(
    opened: OpenedPlan,
    assessment: PlanAssessment,
    out: Path,
    paper: str = "A4",
    site_ids: tuple[SiteId, ...] | None = None,
    more: Sequence[Document] = (),
) -> None:
    """Write the site sheets as a PDF; the painter needs Qt, but no display."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    from guyline.viewmodels.paper import write_plan_pdf

    write_plan_pdf(
        opened.plan,
        assessment,
        out,
        page_size=paper,
        site_ids=site_ids,
        plan_name=opened.path.name,
        more=more,
    )


def _coverage_page(opened: OpenedPlan) -> Document:
    """The page of coverage, of the plan as its file holds it."""
    printing = Printing(
        at=datetime.now(UTC), plan_name=opened.path.name, revision=plan_digest(opened.plan)
    )
    return worked_out_page(opened.plan, opened.terrain, opened.assessor.layers, printing)


# --- coverage --------------------------------------------------------------------------------


def _coverage(parsed: argparse.Namespace) -> int:
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
        _print_json(coverage_answer(report, parsed.out))
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
        _print_json(cluster_answer(report, parsed.out))
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


# --- files in and out ------------------------------------------------------------------------


def _import(parsed: argparse.Namespace) -> int:
    imported = import_places(parsed.plan, parsed.file, parsed.out)
    print(*report_lines(imported), imported.path.resolve(), sep="\n")
    return 0


def _export(parsed: argparse.Namespace) -> int:
    written = export_places(load_plan(parsed.plan), parsed.out)
    print(f"{counted(written, 'site')} to {parsed.out.resolve()}")
    return 0


def _share(parsed: argparse.Namespace) -> int:
    share_plan_file(parsed.plan, parsed.out)
    print(parsed.out.resolve())
    return 0


def _changes(parsed: argparse.Namespace) -> int:
    earlier = earlier_copy(parsed.plan) if parsed.earlier is None else parsed.earlier
    found = changes_by_owner(load_plan(earlier), load_plan(parsed.plan))
    print(f"{counted(sum(map(len, found.values())), 'change')} since {earlier.name}.")
    for owner, changes in found.items():
        print(f"\n{owner}")
        for change in changes:
            values = " → ".join(value for value in (change.was, change.now) if value)
            print(f"  {change.subject}: {values}")
    return 0


# --- pairs -----------------------------------------------------------------------------------


def _pairs(parsed: argparse.Namespace) -> int:
    opened = open_plan(parsed.plan)
    matrix = link_matrix(opened.plan, opened.terrain)
    if parsed.json:
        _print_json(pairs_answer(matrix))
        return 0
    for near, far, margin_db in matrix.pairs():
        print(f"{near} - {far}: margin {margin_db:.1f} dB")
    return 0


# --- without a display -----------------------------------------------------------------------


def do_without_window(plan: Path | None) -> int:
    """Do the main job where no window can open: readiness here, site sheets beside the plan."""
    print("There is no display, so no window can open. Readiness and site sheets instead:\n")
    try:
        path = plan or demo_copy(Path.cwd() / "guyline-demo")
        opened = open_plan(path)
        assessment = _assess(opened)
        print_readiness(assessment)
        sheets = path.with_name(path.name.removesuffix(SUFFIX) + "-sheets.pdf")
        print_sheets(opened, assessment, sheets)
    except GuylineError as error:
        return _refuse(error)
    print(f"\nSite sheets: {sheets.resolve()}")
    return ALL_GO if assessment.verdict is Verdict.GO else NOT_ALL_GO
