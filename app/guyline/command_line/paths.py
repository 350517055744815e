"""Paths: the profile between two places, and which sites hear which."""

from __future__ import annotations

import argparse

from guyline.command_line.printing import print_json
from guyline.core.network.path import PathAssessment
from guyline.core.plan import Plan, SiteId
from guyline.errors import InputError
from guyline.services.answers import pairs_answer, path_answer
from guyline.services.geodesy import inverse
from guyline.services.link_matrix import link_matrix
from guyline.services.opening import open_plan


def profile(parsed: argparse.Namespace) -> int:
    """Print the path between two places."""
    opened = open_plan(parsed.plan)
    start = _end(opened.plan, parsed.start, parsed.antenna)
    end = _end(opened.plan, parsed.end, parsed.antenna)
    path = opened.assessor.path(opened.plan, *start, *end)
    line = inverse(start[0], start[1], end[0], end[1])
    content = path_answer(path, line.azimuth_deg, line.back_azimuth_deg)
    if parsed.json:
        print_json(content)
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


def pairs(parsed: argparse.Namespace) -> int:
    """Print the margin of every two sites that hear each other."""
    opened = open_plan(parsed.plan)
    matrix = link_matrix(opened.plan, opened.terrain)
    if parsed.json:
        print_json(pairs_answer(matrix))
        return 0
    for near, far, margin_db in matrix.pairs():
        print(f"{near} - {far}: margin {margin_db:.1f} dB")
    return 0
