"""The plan on the ground: marks, links, moves, areas, in the local metric frame."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import Incident, Link, Plan, Position, Site, SiteFunction, SiteId, Units
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.errors import TerrainError
from guyline.services.geodesy import LocalFrame, inverse
from guyline.services.job import Job
from guyline.services.raster import Bounds
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view import ON_MAP, GroundModel
from guyline.viewmodels.ground_view_marks import LinkState
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import PathEnd, Selection

HALL, HILL, LOST = SiteId("HALL"), SiteId("HILL"), SiteId("LOST")


class Slope:
    """Ground that rises eastward from a sea, one hundred metres a kilometre."""

    bounds = Bounds(west_deg=4.8, south_deg=49.8, east_deg=5.4, north_deg=50.2)

    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> float:
        return 123.0

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        raise NotImplementedError

    def grid(
        self,
        frame: LocalFrame,
        west_m: float,
        south_m: float,
        east_m: float,
        north_m: float,
        cell_m: float,
        job: Job | None = None,
    ) -> Grid:
        x = np.arange(west_m, east_m, cell_m)
        rows = int((north_m - south_m) / cell_m)
        heights = np.maximum(0.0, np.tile(x / 10.0, (rows, 1))).astype(np.float32)
        return Grid(
            ground_amsl_m=heights,
            cell_m=cell_m,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )


class NothingToSay:
    """Assesses a plan to nothing at once."""

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        return PlanAssessment(plan=plan, sites=(), links=(), network=NetworkAssessment())


PLAN = Plan(
    sites=(
        Site(
            site_id=HALL,
            position=Position(lat_deg=50.0, lon_deg=5.0, source="GPS", uncertainty_m=5.0),
            ground_amsl_m=12.0,
            ground_source="surveyed",
        ),
        Site(
            site_id=HILL,
            function=SiteFunction.RELAY,
            position=Position(lat_deg=50.02, lon_deg=5.1),
        ),
        Site(site_id=LOST),
    ),
    links=(Link(from_id=HALL, to_id=HILL), Link(from_id=HALL, to_id=LOST)),
)


@pytest.fixture
def document(qapp: object) -> PlanDocument:
    return PlanDocument(PLAN)


@pytest.fixture
def selection() -> Selection:
    return Selection()


@pytest.fixture
def model(document: PlanDocument, selection: Selection, qtbot: QtBot) -> Iterator[GroundModel]:
    live = LiveAssessment(document, NothingToSay())  # type: ignore[arg-type]
    yield GroundModel(document, selection, live)
    qtbot.waitUntil(lambda: not live.is_running)


def test_only_sites_with_a_position_are_on_the_map(model: GroundModel) -> None:
    assert [m.site_id for m in model.marks] == [HALL, HILL]
    assert [line.link for line in model.lines] == [PLAN.links[0]]
    assert "1 site has no position yet" in model.summary()


def test_marks_lie_as_far_apart_as_the_sites(model: GroundModel) -> None:
    a, b = model.marks
    # the frame promises 5.4e-6 of the distance
    assert np.hypot(a.x_m - b.x_m, a.y_m - b.y_m) == pytest.approx(
        inverse(50.0, 5.0, 50.02, 5.1).distance_m, rel=6e-6
    )


def test_a_link_without_an_assessment_is_unknown(model: GroundModel) -> None:
    assert model.lines[0].state is LinkState.UNKNOWN
    assert model.lines[0].label == "margin unknown"


def test_a_moved_site_is_where_it_was_put_and_says_how(
    model: GroundModel, document: PlanDocument
) -> None:
    model.move_site(HALL, 1000.0, -500.0)
    moved = document.plan.site(HALL)
    assert moved.position is not None
    assert moved.position.source == ON_MAP
    assert moved.position.uncertainty_m is None
    assert moved.ground_amsl_m is None  # the height that was entered belonged to the old place
    mark = model.mark(HALL)
    assert mark is not None
    assert (mark.x_m, mark.y_m) == pytest.approx((1000.0, -500.0), abs=0.1)  # 1e-6 degrees


def test_each_drag_of_a_site_is_one_undo_step(model: GroundModel, document: PlanDocument) -> None:
    for start in (0.0, 5000.0):
        model.begin_drag()
        for n in range(10):
            model.move_site(HALL, start + 10.0 * n, 0.0, dragging=True)
    assert document.undo_stack.count() == 2
    document.undo_stack.undo()
    document.undo_stack.undo()
    assert document.plan == PLAN


def test_the_area_shows_every_site_and_stays_on_the_data(model: GroundModel) -> None:
    model.use_terrain(Slope())
    area = model.area()
    for mark in model.marks:
        assert area.west_m < mark.x_m < area.east_m
        assert area.south_m < mark.y_m < area.north_m
    model.cancel()


def test_without_sites_the_whole_terrain_is_shown(qapp: object) -> None:
    document = PlanDocument(Plan())
    live = LiveAssessment(document, NothingToSay(), document)  # type: ignore[arg-type]
    model = GroundModel(document, Selection(), live)
    model.use_terrain(Slope())
    area = model.area()
    width = inverse(50.0, 4.8, 50.0, 5.4).distance_m
    assert area.east_m - area.west_m == pytest.approx(width, rel=0.01)
    model.cancel()


def test_the_relief_is_made_beside_the_window(model: GroundModel, qtbot: QtBot) -> None:
    with qtbot.waitSignal(
        model.relief_changed, timeout=20_000, check_params_cb=lambda relief: relief is not None
    ):
        model.use_terrain(Slope())
    assert model.relief is not None
    assert max(model.relief.index.shape) <= 1601


def test_a_late_relief_of_other_terrain_is_dropped(model: GroundModel, qtbot: QtBot) -> None:
    model.use_terrain(Slope())
    model.use_terrain(None)
    qtbot.wait(300)
    assert model.relief is None


def test_terrain_that_cannot_be_read_is_told(model: GroundModel, qtbot: QtBot) -> None:
    class Broken(Slope):
        def grid(self, *args: object, **kwargs: object) -> Grid:
            raise TerrainError("The file is cut short.", advice="Copy it again.")

    with qtbot.waitSignal(model.refused, timeout=5000) as told:
        model.use_terrain(Broken())
    assert told.args == ["The file is cut short. Copy it again."]


def test_a_way_is_told_as_geodesic_distance_and_true_bearing(model: GroundModel) -> None:
    a, b = model.marks
    way = inverse(50.0, 5.0, 50.02, 5.1)
    assert model.way_text((a.x_m, a.y_m), (b.x_m, b.y_m)) == (
        f"{way.distance_m / 1000:.2f} km at {way.azimuth_deg:.1f}° true"
    )


def test_a_place_is_told_with_ground_and_way_from_the_selected_site(
    model: GroundModel, selection: Selection
) -> None:
    model.use_terrain(Slope())
    model.cancel()
    selection.select_site(HALL)
    words = model.place_text(*model.point(50.02, 5.1))
    assert "50°01.200′N 5°06.000′E" in words
    assert "ground 123 m" in words
    assert words.endswith("true from HALL")


def test_an_end_on_a_site_is_the_site_and_elsewhere_a_bare_place(model: GroundModel) -> None:
    assert model.end_at(HALL, 0.0, 0.0) == PathEnd(lat_deg=50.0, lon_deg=5.0, site_id=HALL)
    bare = model.end_at(None, *model.point(50.01, 5.02))
    assert bare.site_id is None
    assert (bare.lat_deg, bare.lon_deg) == pytest.approx((50.01, 5.02), abs=1e-9)


def test_a_bare_end_can_be_drawn_elsewhere_and_a_site_end_cannot(
    model: GroundModel, selection: Selection
) -> None:
    bare = PathEnd(lat_deg=50.01, lon_deg=5.02, antenna_agl_m=7.0)
    selection.select_path((model.end_at(HALL, 0, 0), bare))
    model.move_end(1, *model.point(50.03, 5.04))
    model.move_end(0, *model.point(50.03, 5.04))
    assert selection.path is not None
    near, far = selection.path
    assert near.site_id == HALL
    assert near.lat_deg == 50.0
    assert (far.lat_deg, far.lon_deg, far.antenna_agl_m) == pytest.approx((50.03, 5.04, 7.0))


def test_a_site_that_moved_takes_the_end_of_the_shown_path_with_it(
    model: GroundModel, selection: Selection
) -> None:
    selection.select_path((model.end_at(HALL, 0, 0), model.end_at(HILL, 0, 0)))
    model.move_site(HALL, -2000.0, 300.0)
    assert model.path_points()[0] == pytest.approx((-2000.0, 300.0), abs=0.1)


def test_imperial_plans_are_measured_in_miles(model: GroundModel, document: PlanDocument) -> None:
    document.edit(replace(PLAN, incident=Incident(units=Units.IMPERIAL)), "Use miles")
    assert model.way_text((0.0, 0.0), (1609.344, 0.0)).startswith("1.00 mi")


def test_the_frame_follows_a_plan_that_lies_elsewhere(
    model: GroundModel, document: PlanDocument
) -> None:
    far = [
        replace(s, position=Position(lat_deg=-41.0, lon_deg=s.position.lon_deg + 160.0))
        for s in PLAN.sites
        if s.position is not None
    ]
    document.edit(PLAN.with_sites(far), "Go elsewhere")
    a, b = model.marks
    truth = inverse(-41.0, 165.0, -41.0, 165.1).distance_m
    assert np.hypot(a.x_m - b.x_m, a.y_m - b.y_m) == pytest.approx(truth, rel=6e-6)


def test_the_ground_is_read_again_when_a_site_is_put_beyond_it(
    model: GroundModel, qtbot: QtBot
) -> None:
    with qtbot.waitSignal(model.relief_changed, check_params_cb=lambda r: r is not None):
        model.use_terrain(Slope())
    relief = model.relief
    assert relief is not None
    beyond = relief.grid.east_m + 500.0
    with qtbot.waitSignal(model.relief_changed, check_params_cb=lambda r: r is not None):
        model.move_site(HILL, beyond, 0.0)
    assert model.relief is not None
    assert model.relief.grid.east_m > beyond
