"""What the header says of a path: each number with its caption and its working."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.network.path import PathAssessment, WorstPoint
from guyline.core.radio.link_budget import Direction
from guyline.core.readiness.finding import Quantity, Working
from guyline.viewmodels.path_view import FAR, NEAR, PathView
from guyline.viewmodels.path_view_words import (
    UNKNOWN,
    clearance_words,
    height_text,
    is_clear,
    k_text,
    length_text,
    void_sentences,
    worst_label,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PathFact:
    """One number of the path: its caption, its text, and how it came about.

    The short caption and text stand in the header, which leaves out what is empty; the full ones
    are for those who ask or listen.
    `is_kept` tells whether what is asked for is kept; None where nothing is asked or known.
    The text says the same in words.
    """

    key: str
    caption: str
    text: str
    short_caption: str
    short_text: str
    working: Working
    is_kept: bool | None = None


def path_facts(view: PathView) -> tuple[PathFact, ...]:
    """Everything the header says of a path, unknown where it is unknown."""
    return (
        _distance(view),
        _bearing(view),
        _loss(view),
        *_margin(view),
        _clearance(view, is_low=False),
        _clearance(view, is_low=True),
    )


def path_summary(view: PathView) -> str:
    """The whole picture in sentences, for those who hear it."""
    units = view.plan.incident.units
    parts = [f"Path from {view.ends[NEAR].label} to {view.ends[FAR].label}."]
    for end in view.ends:
        agl = end.antenna_agl_m
        height = UNKNOWN if agl is None else f"{height_text(agl, units)} above ground"
        parts.append(f"Antenna at {end.label}: {height}.")
    parts += [f"{fact.caption}: {fact.text}." for fact in path_facts(view)]
    if view.path is not None and view.path.worst is not None:
        parts.append(f"Worst point at {worst_label(view.path.worst, units)}.")
    parts += [f"There is {words}." for words in void_sentences(view)]
    return " ".join([*parts, view.problem]).strip()


def _distance(view: PathView) -> PathFact:
    return PathFact(
        key="distance",
        caption="Distance",
        text=length_text(view.way.distance_m, view.plan.incident.units),
        short_caption="",
        short_text=length_text(view.way.distance_m, view.plan.incident.units),
        working=Working(
            formula="length of the geodesic on the WGS 84 ellipsoid",
            inputs=_positions(view),
            source="Karney 2013, as in PROJ",
            confidence="as good as the positions",
        ),
    )


def _bearing(view: PathView) -> PathFact:
    return PathFact(
        key="bearing",
        caption="Bearing, true",
        text=f"{view.way.azimuth_deg:.1f}° there, {view.way.back_azimuth_deg:.1f}° back",
        short_caption="true",
        short_text=f"{view.way.azimuth_deg:.1f}°, back {view.way.back_azimuth_deg:.1f}°",
        working=Working(
            formula="azimuth of the geodesic at either end, from true north",
            inputs=_positions(view),
            source="Karney 2013, as in PROJ",
            confidence="true, not magnetic: the site sheet carries the declination",
        ),
    )


def _positions(view: PathView) -> tuple[Quantity, ...]:
    return tuple(
        Quantity(name=f"position of {end.label}", value=f"{end.lat_deg:.5f} {end.lon_deg:.5f}")
        for end in view.ends
    )


def _loss(view: PathView) -> PathFact:
    path = view.path
    text = short = UNKNOWN
    inputs: tuple[Quantity, ...] = ()
    if path is not None:
        inputs = _loss_inputs(path)
        if path.loss_db is not None:
            text = f"{path.loss_db:.1f} dB, {path.diffraction_db:.1f} by the ground"
            short = f"{path.loss_db:.1f} dB, ground {path.diffraction_db:.1f}"
    return PathFact(
        key="loss",
        caption="Path loss",
        text=text,
        short_caption="loss",
        short_text=short,
        working=Working(
            formula="path loss = free space + delta-Bullington diffraction",
            inputs=inputs,
            source="Rec. ITU-R P.525, P.526 and P.1812 at the median effective Earth radius",
            confidence="clear paths: about 2 dB; obstructed paths: about 8 dB, verify on site",
        ),
    )


def _loss_inputs(path: PathAssessment) -> tuple[Quantity, ...]:
    terrain = path.profile.source or "terrain data"
    return (
        Quantity(name="free space loss", value=path.free_space_db, unit="dB", source="P.525"),
        Quantity(name="diffraction loss", value=path.diffraction_db, unit="dB", source=terrain),
        Quantity(name="frequency", value=path.frequency_hz / 1e6, unit="MHz", source="plan"),
        Quantity(name="effective Earth factor k", value=path.earth_k, source="plan"),
        Quantity(name="antenna above ground, this end", value=path.tx_agl_m, unit="m"),
        Quantity(name="antenna above ground, far end", value=path.rx_agl_m, unit="m"),
    )


def _margin(view: PathView) -> tuple[PathFact, ...]:
    """Margin both ways with the end that limits; nothing where an end is a bare point."""
    near, far = view.ends
    if near.site_id is None or far.site_id is None:
        return ()
    required = view.plan.radio_profile.required_margin_db
    budget = None if view.link is None else view.link.budget
    if budget is None:
        missing = () if view.link is None else view.link.missing
        return (
            PathFact(
                key="margin",
                caption="Margin",
                text=UNKNOWN + "".join(f", no {name} of {site}" for site, name in missing),
                short_caption="margin",
                short_text=UNKNOWN
                + "".join(f", no {name} of {site}" for site, name in missing[:1]),
                working=Working(
                    formula="no budget without these values",
                    inputs=tuple(
                        Quantity(name=f"{name} of {site}", value=None) for site, name in missing
                    ),
                ),
            ),
        )
    is_forward = budget.limiting == "forward"
    talker, listener = (near, far) if is_forward else (far, near)
    weaker = budget.forward if is_forward else budget.backward
    is_kept = budget.margin_db >= required
    verdict = "kept" if is_kept else f"{required - budget.margin_db:.1f} dB short"
    return (
        PathFact(
            key="margin",
            caption="Margin",
            text=f"{budget.forward.margin_db:.1f} dB there,"
            f" {budget.backward.margin_db:.1f} back;"
            f" {listener.label} hears {talker.label} worst,"
            f" {verdict} ({required:.0f} dB asked)",
            short_caption="margin",
            short_text=f"{budget.forward.margin_db:.1f} dB,"
            f" back {budget.backward.margin_db:.1f},"
            f" {listener.label} hears worst",
            working=_budget_working(view, weaker),
            is_kept=is_kept,
        ),
    )


def _budget_working(view: PathView, weaker: Direction) -> Working:
    profile = view.plan.radio_profile
    steps = (
        ("transmit power", weaker.tx_power_dbm, "dBm", "plan"),
        ("feeder, sending end", weaker.tx_feeder_loss_db, "dB", "plan"),
        ("antenna gain toward the far end", weaker.tx_gain_dbi, "dBi", "pattern"),
        ("loss between the antennas", weaker.path_loss_db, "dB", "path"),
        ("antenna gain, listening end", weaker.rx_gain_dbi, "dBi", "pattern"),
        ("feeder, listening end", weaker.rx_feeder_loss_db, "dB", "plan"),
        ("received level", weaker.received_dbm, "dBm", ""),
        ("sensitivity", weaker.sensitivity_dbm, "dBm", "bandwidth and spreading factor"),
        ("bandwidth", profile.bandwidth_hz / 1e3, "kHz", "plan"),
        ("spreading factor", float(profile.spreading_factor), "", "plan"),
    )
    return Working(
        formula="margin = power - feeder + gain - loss + gain - feeder - sensitivity;"
        " sensitivity = -174 + 10 log BW + NF + SNR needed",
        inputs=tuple(Quantity(name=n, value=v, unit=u, source=s) for n, v, u, s in steps),
        source="Rec. ITU-R P.525, P.526, P.1812; SNR by spreading factor from transceiver data",
        confidence="clear paths: about 2 dB; obstructed paths: about 8 dB, verify on site",
    )


def _clearance(view: PathView, *, is_low: bool) -> PathFact:
    path, units = view.path, view.plan.incident.units
    worst, k = None, 2 / 3 if is_low else view.plan.earth_k
    if path is not None:
        worst, k = (path.worst_low_k, path.low_k) if is_low else (path.worst, path.earth_k)
    words = clearance_words(worst, units)
    return PathFact(
        key="clearance-low-k" if is_low else "clearance",
        caption=f"Clearance at k = {k_text(k)}",
        text=words,
        short_caption="" if is_low else "clearance",
        short_text=_short_clearance(words, k, is_low=is_low),
        working=_clearance_working(path, worst, k),
        is_kept=is_clear(worst),
    )


def _short_clearance(words: str, k: float, *, is_low: bool) -> str:
    """The low k says no more than it must after the other one; nothing where both are unknown."""
    if words == UNKNOWN:
        return "" if is_low else UNKNOWN
    return f"{words.replace(' of the first zone', '') if is_low else words} at k = {k_text(k)}"


def _clearance_working(path: PathAssessment | None, worst: WorstPoint | None, k: float) -> Working:
    inputs: tuple[Quantity, ...] = ()
    if path is not None and worst is not None:
        inputs = (
            Quantity(name="worst point", value=worst.distance_m / 1e3, unit="km from this end"),
            Quantity(
                name="ground there",
                value=worst.ground_amsl_m,
                unit="m amsl",
                source=path.profile.source,
            ),
            Quantity(name="trees or houses on it", value=worst.clutter_m, unit="m", source="plan"),
            Quantity(name="clearance", value=worst.clearance_m, unit="m"),
            Quantity(name="radius of the first zone", value=worst.fresnel_radius_m, unit="m"),
            Quantity(name="clearance in radii", value=worst.clearance_ratio),
            Quantity(name="effective Earth factor k", value=k),
            Quantity(
                name="height error of the terrain (1 sd)", value=path.profile.height_sd_m, unit="m"
            ),
        )
    return Working(
        formula=(
            "line of sight - ground and what is on it - d1 d2 / (2 k a)"
            " against 0.6 sqrt(λ d1 d2 / (d1 + d2))"
        ),
        inputs=inputs,
        source="Rec. ITU-R P.526; 0.6 of the first zone at k = 4/3 after P.530 section 2.2.2",
        confidence="height error of the terrain; trees and houses only where map or plan has them",
    )
