"""The page of coverage: who on the ground is reached, in hatching that a laser printer keeps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from guyline.core.plan import Plan, TerrainSource, Units
from guyline.services.coverage import CoverageReport, plan_coverage
from guyline.services.coverage_places import PlaceServed, uncovered
from guyline.services.documents import figures
from guyline.services.documents.content import (
    CoverageNode,
    CoveragePage,
    CoveragePlace,
    Field,
    LeadLine,
)
from guyline.services.documents.imprint import Printing, imprint
from guyline.services.documents.revision import content_digest
from guyline.services.elevation import Terrain
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job
from guyline.services.map_layers import MapLayers
from guyline.services.map_shapes import MapShape
from guyline.services.wording.numbers import percent

SQUARE_MILE_KM2 = (figures.STATUTE_MILE_M / 1000.0) ** 2


def worked_out_page(
    plan: Plan,
    terrain: Terrain,
    layers: MapLayers,
    printing: Printing,
    job: Job | None = None,
) -> CoveragePage:
    """Work coverage out over the terrain and make its page.

    Raises
    ------
    TerrainError
        There is no terrain data there, or no site has a position.
    JobCancelled
        `job` asked to stop.
    """
    report = plan_coverage(plan, terrain, job=job)
    shapes = layers.shapes(plan.map_layers)
    return coverage_page(plan, report, printing, sources=terrain.sources, shapes=shapes)


def coverage_page(
    plan: Plan,
    report: CoverageReport,
    printing: Printing,
    *,
    sources: Sequence[TerrainSource] = (),
    shapes: tuple[MapShape, ...] = (),
) -> CoveragePage:
    """What coverage comes to, with everything that a reader must know to trust or doubt it.

    Parameters
    ----------
    report : CoverageReport
        Of that plan.
    sources : sequence of TerrainSource
        The elevation files that were read, to be named.
    shapes : tuple of MapShape
        Areas and tracks to be drawn with it.
    """
    coverage = report.coverage
    frame = LocalFrame(coverage.grid.lat0_deg, coverage.grid.lon0_deg)
    lacking = uncovered(report.places)
    served = [known for known in report.places if known.is_served is True]
    page = CoveragePage(
        imprint=imprint(plan, printing),
        summary=_summary(plan, report),
        nodes=_nodes(plan, report, frame),
        places=tuple(_place(known, frame) for known in (*lacking, *served)),
        skipped=tuple(
            LeadLine(lead=site_id, line=f"is not counted: {why} unknown")
            for site_id, why in report.skipped
        ),
        counted=_counted(plan, report),
        attribution=_attribution(sources),
        coverage=coverage,
        shapes=shapes,
    )
    return replace(page, imprint=replace(page.imprint, digest=content_digest(page)))


def _summary(plan: Plan, report: CoverageReport) -> str:
    coverage, units = report.coverage, plan.incident.units
    if not coverage.site_ids:
        return "No relay or gateway can be counted, so nobody is known to be reached."
    words = (
        f"{_area(coverage.area_served_km2, units)} of {_area(coverage.area_known_km2, units)}"
        f" served by {', '.join(coverage.site_ids)}"
    )
    return f"{words}; {report.tally.words}." if report.tally.words else f"{words}."


def _area(value_km2: float, units: Units) -> str:
    if units is Units.METRIC:
        return f"{value_km2:.0f} km²"
    return f"{value_km2 / SQUARE_MILE_KM2:.0f} sq mi ({value_km2:.0f} km²)"


def _nodes(plan: Plan, report: CoverageReport, frame: LocalFrame) -> tuple[CoverageNode, ...]:
    nodes = []
    for site in plan.sites:
        if site.position is not None:
            x, y = frame.to_xy(site.position.lat_deg, site.position.lon_deg)
            nodes.append(
                CoverageNode(
                    site_id=site.site_id,
                    function=site.function,
                    is_server=site.site_id in report.coverage.site_ids,
                    east_m=float(x),
                    north_m=float(y),
                )
            )
    return tuple(nodes)


def _place(known: PlaceServed, frame: LocalFrame) -> CoveragePlace:
    place = known.place
    x, y = frame.to_xy(place.lat_deg, place.lon_deg)
    best = "" if known.best is None else f" from {known.best}"
    wanted = f" of {place.servers_wanted} wanted" if place.servers_wanted > 1 else ""
    return CoveragePlace(
        name=place.name,
        is_served=known.is_served,
        east_m=float(x),
        north_m=float(y),
        state=known.state,
        people="" if place.people is None else str(place.people),
        margin=None
        if known.out_db is None or known.back_db is None
        else f"out {known.out_db:.0f} dB, back {known.back_db:.0f} dB{best}",
        probability=None if known.probability is None else percent(known.probability),
        servers=f"{known.servers}{wanted}",
    )


def _counted(plan: Plan, report: CoverageReport) -> tuple[Field, ...]:
    held, profile = plan.handheld, plan.radio_profile
    return (
        Field(
            label="Served",
            value=f"margin of {report.coverage.required_db:.0f} dB or more",
            note="in the weaker direction; talking out alone would reach"
            f" {_area(report.area_out_km2, plan.incident.units)}, talking back alone"
            f" {_area(report.area_back_km2, plan.incident.units)}",
        ),
        Field(
            label="Pocket radio",
            value=f"{held.tx_power_dbm:g} dBm",
            note=f"held at {held.antenna_agl_m:g} m, antenna {held.gain_dbi:g} dBi, body takes"
            f" {held.body_loss_db:g} dB, among: {held.surroundings};"
            f" {profile.frequency_hz / 1e6:.3f} MHz, {profile.bandwidth_hz / 1e3:g} kHz,"
            f" spreading factor {profile.spreading_factor}",
        ),
        Field(
            label="Worked out",
            value="computed, not measured",
            note=f"in cells of {report.coverage.grid.cell_m:.0f} m: diffraction after Rec. ITU-R"
            f" P.526 (delta-Bullington) over bare ground at k = {plan.earth_k:.2f}, surroundings"
            " after P.2108",
        ),
    )


def _attribution(sources: Sequence[TerrainSource]) -> str:
    """Who made the ground that was reckoned with, under which licence."""
    told = dict.fromkeys(
        ", ".join(part for part in (s.description or s.path, s.licence) if part) for s in sources
    )
    return f"Ground: {'; '.join(told)}." if told else ""
