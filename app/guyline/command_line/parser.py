"""The words that the command takes."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

from guyline import __version__
from guyline.services.interchange import FORMATS
from guyline.services.plan_files import SUFFIX


def parser_of_commands() -> argparse.ArgumentParser:
    """Return the parser; what a command needs is loaded when it runs."""
    parser = argparse.ArgumentParser(
        prog="guyline",
        description="Plan a temporary off-grid radio network. Without a command, or with only a"
        " plan, the window opens.",
    )
    parser.add_argument("--version", action="version", version=f"guyline {__version__}")
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    check = commands.add_parser("check", help="judge every site; status 0 if all are GO, else 1")
    check.set_defaults(run=_later("judging", "check"))
    profile = commands.add_parser("profile", help="path between two sites or LAT,LON points")
    profile.set_defaults(run=_later("paths", "profile"))
    power = commands.add_parser("power", help="power budget of every site")
    power.set_defaults(run=_later("judging", "power"))
    sheet = commands.add_parser("sheet", help="site sheets as a PDF")
    sheet.set_defaults(run=_later("paper", "sheet"))

    coverage = commands.add_parser("coverage", help="who is reached on the ground")
    coverage.set_defaults(run=_later("covering", "coverage"))

    take_in = commands.add_parser("import", help="places of a file into the plan")
    take_in.set_defaults(run=_later("files", "take_in"))
    export = commands.add_parser("export", help="sites to a file for maps and receivers")
    export.set_defaults(run=_later("files", "export"))
    comms = commands.add_parser("comms", help="ICS 205, 205A and 217A as tables")
    comms.set_defaults(run=_later("files", "comms"))
    share = commands.add_parser("share", help="a copy without telephone numbers and gate codes")
    share.set_defaults(run=_later("files", "share"))

    differing = commands.add_parser("changes", help="what changed since an earlier copy")
    differing.set_defaults(run=_later("files", "changes"))

    pairs = commands.add_parser("pairs", help="which sites hear which, listed or not")
    pairs.set_defaults(run=_later("paths", "pairs"))

    readings = commands.add_parser("readings", help="what crews read on links against the plan")
    readings.set_defaults(run=_later("judging", "readings"))

    check.add_argument(
        "--mend", metavar="ID", help="the smallest set of mendings for this site instead"
    )
    for command in (
        *(check, profile, power, sheet, coverage, pairs, readings),
        *(take_in, export, comms, share, differing),
    ):
        command.add_argument("plan", type=Path, metavar="PLAN", help="a .plan.json file")
    profile.add_argument("start", metavar="FROM", help="site identifier or LAT,LON")
    profile.add_argument("end", metavar="TO", help="site identifier or LAT,LON")
    profile.add_argument(
        "--antenna", type=float, default=2.0, metavar="M", help="height of a bare point's antenna"
    )
    for command in (check, profile, power, coverage, pairs, readings):
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
    differing.add_argument(
        "earlier",
        type=Path,
        nargs="?",
        metavar="EARLIER",
        help="an earlier copy; without it the newest backup copy",
    )
    comms.add_argument("--out", type=Path, required=True, metavar="FILE.csv")
    share.add_argument("--out", type=Path, required=True, metavar=f"FILE{SUFFIX}")
    return parser


def _later(module: str, name: str) -> Callable[[argparse.Namespace], int]:
    """Run a function of a module of this package, loaded only then."""

    def run(parsed: argparse.Namespace) -> int:
        status: int = getattr(import_module(f"guyline.command_line.{module}"), name)(parsed)
        return status

    return run
