"""The picture of coverage is the core's coverage, and follows the plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pytest
from pytestqt.qtbot import QtBot

from guyline.core.network.coverage import Coverage, combine_coverage, site_coverage
from guyline.core.network.effect import NetworkAssessment
from guyline.core.plan import (
    Antenna,
    ClutterBand,
    Feeder,
    Place,
    Plan,
    Position,
    Radio,
    Site,
    SiteFunction,
    SiteId,
)
from guyline.core.readiness.assessment import PlanAssessment
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.services.coverage import RADIUS_M
from guyline.services.geodesy import LocalFrame
from guyline.services.job import Job
from guyline.services.raster import Bounds
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.ground_view import GroundModel
from guyline.viewmodels.ground_view_coverage import (
    FIRST_TIME,
    CoverageKind,
    CoverageModel,
    CoveragePicture,
    Reach,
    coverage_grid_of,
    reach_index,
)
from guyline.viewmodels.ground_view_layers import CoverageLayer, layer_picture
from guyline.viewmodels.live_assessment import LiveAssessment
from guyline.viewmodels.selection import Selection

HILL, KNOLL = SiteId("HILL"), SiteId("KNOLL")


class Valley:
    """A ridge from south to north with low ground on both sides."""

    bounds = Bounds(west_deg=4.9, south_deg=49.95, east_deg=5.1, north_deg=50.05)

    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> float:
        return 50.0

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
        cell = 60.0  # coarse: these tests are about who is asked, not about detail
        x = np.arange(west_m, east_m, cell)
        rows = int((north_m - south_m) / cell)
        ridge = 20.0 + 300.0 * np.exp(-((x / 600.0) ** 2))
        return Grid(
            ground_amsl_m=np.tile(ridge, (rows, 1)).astype(np.float32),
            cell_m=cell,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )


class NothingToSay:
    """Assesses a plan to nothing at once."""

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        return PlanAssessment(plan=plan, sites=(), links=(), network=NetworkAssessment())


def relay(site_id: SiteId, lon_deg: float, power_dbm: float | None = 20.0) -> Site:
    return Site(
        site_id=site_id,
        function=SiteFunction.RELAY,
        position=Position(lat_deg=50.0, lon_deg=lon_deg),
        antenna_agl_m=6.0,
        radio=Radio(tx_power_dbm=power_dbm, noise_figure_db=6.0),
        antenna=Antenna(gain_dbi=2.0),
        feeder=Feeder(length_m=0.0),
    )


PLAN = Plan(
    sites=(relay(HILL, 4.97), relay(KNOLL, 5.03)),
    places=(
        Place(name="near the hill", lat_deg=50.0, lon_deg=4.972),
        Place(name="beyond the data", lat_deg=51.0, lon_deg=5.0),
    ),
)


class Story:
    """Ground, coverage and all they look at, with the relief made."""

    def __init__(self, qtbot: QtBot, plan: Plan = PLAN) -> None:
        self.qtbot = qtbot
        self.document, self.selection = PlanDocument(plan), Selection()
        self.live = LiveAssessment(self.document, NothingToSay())  # type: ignore[arg-type]
        self.ground = GroundModel(self.document, self.selection, self.live)
        self.coverage = CoverageModel(self.document, self.selection, self.ground)
        with qtbot.waitSignal(self.ground.relief_changed, check_params_cb=lambda r: r is not None):
            self.ground.use_terrain(Valley())

    def fine_picture(self) -> CoveragePicture:
        """What is shown when the next work has come to its end."""
        with self.qtbot.waitSignal(
            self.coverage.changed,
            timeout=60_000,
            check_params_cb=lambda p: p is not None and p.is_fine,
        ) as seen:
            pass
        picture: CoveragePicture = seen.args[0]
        return picture


@pytest.fixture
def story(qtbot: QtBot) -> Iterator[Story]:
    story = Story(qtbot)
    yield story
    story.coverage.show(CoverageKind.NONE)
    qtbot.waitUntil(lambda: not story.live.is_running and not story.coverage.is_running)


def test_nothing_is_worked_out_until_somebody_asks(story: Story) -> None:
    assert not story.coverage.is_running


def test_the_picture_is_the_cores_coverage(story: Story) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    picture = story.fine_picture()
    frame = LocalFrame(picture.grid.lat0_deg, picture.grid.lon0_deg)
    parts = []
    for known in PLAN.sites:
        assert known.position is not None
        x, y = frame.to_xy(known.position.lat_deg, known.position.lon_deg)
        parts.append(site_coverage(PLAN, known, picture.grid, (float(x), float(y)), RADIUS_M))
    core = combine_coverage(picture.grid, parts, PLAN.radio_profile.required_margin_db)
    shown = layer_picture(PLAN, picture.coverage, CoverageLayer.SERVICE).index[::-1]
    assert ((shown >= Reach.ONE.value) == core.served).all()
    assert ((shown == Reach.SEVERAL.value) == (core.servers > 1)).all()
    assert ((shown == Reach.OUT.value) == (core.margin_db < 0)).all()
    assert picture.coverage.area_served_km2 == core.area_served_km2
    assert picture.coverage.site_ids == (HILL, KNOLL)


def test_places_are_served_or_unknown(story: Story) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    picture = story.fine_picture()
    assert [p.is_served for p in picture.places] == [True, None]
    assert "1 of 2 places" in picture.summary
    (unknown,) = (p.place.name for p in picture.places if p.is_served is None)
    assert f"Not served: {unknown} (unknown)" in picture.summary


def test_a_point_is_told_both_ways_with_level_probability_and_servers(story: Story) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    picture = story.fine_picture()
    served = picture.places[0]
    frame = LocalFrame(picture.grid.lat0_deg, picture.grid.lon0_deg)
    x, y = frame.to_xy(served.place.lat_deg, served.place.lon_deg)
    words = picture.words_at(float(x), float(y))
    assert served.out_db is not None
    assert words.startswith(f"{served.best}: out {served.out_db:.0f} dB, back ")
    assert words.endswith(("1 server", "2 servers"))
    assert " dBm, " in words
    assert picture.words_at(1e7, 0.0) == ""


def test_a_coarse_picture_comes_before_the_fine_one(story: Story) -> None:
    seen: list[CoveragePicture | None] = []
    story.coverage.changed.connect(seen.append)
    story.coverage.show(CoverageKind.NETWORK)
    story.fine_picture()
    fine = [p.is_fine for p in seen if p is not None]
    assert fine[-1]
    assert not fine[0]


def test_the_first_time_on_a_machine_is_told(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    story.coverage.waiting.connect(told.append)
    story.coverage.show(CoverageKind.NETWORK)
    story.fine_picture()
    told.clear()  # whatever the loops needed in this process, they are ready now
    story.coverage.show(CoverageKind.SITE)
    story.fine_picture()
    assert told == []
    monkeypatch.setattr("guyline.viewmodels.ground_view_coverage.is_prepared", lambda: False)
    story.coverage.show(CoverageKind.NETWORK)
    assert told == [FIRST_TIME]
    story.fine_picture()


def test_the_selected_site_alone_can_be_asked_for(story: Story) -> None:
    story.selection.select_site(KNOLL)
    story.coverage.show(CoverageKind.SITE)
    assert story.fine_picture().coverage.site_ids == (KNOLL,)
    story.selection.select_site(HILL)
    assert story.fine_picture().coverage.site_ids == (HILL,)


def test_coverage_follows_an_antenna_and_sweeps_only_its_site(
    story: Story, monkeypatch: pytest.MonkeyPatch
) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    before = story.fine_picture()
    swept: list[SiteId] = []

    def counted(plan: Plan, site: Site, *args: object, **kwargs: object) -> object:
        swept.append(site.site_id)
        return site_coverage(plan, site, *args, **kwargs)  # type: ignore[arg-type]

    monkeypatch.setattr("guyline.viewmodels.ground_view_coverage.site_coverage", counted)
    higher = replace(PLAN.site(KNOLL), antenna_agl_m=40.0)
    story.document.edit(PLAN.with_site(higher), "Raise KNOLL")
    after = story.fine_picture()
    assert after.coverage.area_served_km2 > before.coverage.area_served_km2
    assert set(swept) == {KNOLL}


def test_a_site_of_unknown_power_is_named_and_not_counted(story: Story) -> None:
    story.document.edit(PLAN.with_site(relay(KNOLL, 5.03, power_dbm=None)), "Forget power")
    story.coverage.show(CoverageKind.NETWORK)
    picture = story.fine_picture()
    assert picture.coverage.site_ids == (HILL,)
    assert "KNOLL (transmit power unknown)" in picture.summary


def test_the_choice_of_none_takes_the_picture_away(story: Story, qtbot: QtBot) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    story.fine_picture()
    with qtbot.waitSignal(story.coverage.changed, check_params_cb=lambda p: p is None):
        story.coverage.show(CoverageKind.NONE)


def test_what_falls_short_is_striped_and_the_unknown_is_clear() -> None:
    grid = Grid(
        ground_amsl_m=np.zeros((40, 40), dtype=np.float32),
        cell_m=30.0,
        west_m=0.0,
        north_m=1200.0,
        lat0_deg=50.0,
        lon0_deg=5.0,
    )
    margin = np.full((40, 40), 4.0, dtype=np.float32)
    margin[:10] = np.nan
    margin[10:20] = -3.0
    coverage = Coverage(
        grid=grid,
        site_ids=(HILL,),
        margin_db=margin,
        server=np.zeros((40, 40), dtype=np.int16),
        servers=np.zeros((40, 40), dtype=np.uint8),
        probability=margin,
        required_db=10.0,
    )
    index = reach_index(coverage)
    assert (index[:10] == Reach.UNKNOWN.value).all()
    assert (index[10:20] == Reach.OUT.value).all()
    assert set(np.unique(index[20:])) == {Reach.SHORT.value, Reach.SHORT_STRIPE.value}


def test_thinned_ground_keeps_its_posts_where_they_were() -> None:
    x = (np.arange(3001) + 0.5) * 10.0
    heights = np.tile(x, (12, 1)).astype(np.float32)
    fine = Grid(
        ground_amsl_m=heights, cell_m=10.0, west_m=0.0, north_m=120.0, lat0_deg=50.0, lon0_deg=5.0
    )
    coarse = coverage_grid_of(replace(fine, clutter_m=heights / 8.0, includes_trees=heights > 9e3))
    assert max(coarse.ground_amsl_m.shape) <= 1000
    assert coarse.ground_amsl_m[0] == pytest.approx(coarse.x_m)  # law: height equals easting
    assert coarse.clutter_m is not None
    assert np.array_equal(coarse.clutter_m, coarse.ground_amsl_m / 8.0)
    assert coarse.includes_trees is not None
    assert np.array_equal(coarse.includes_trees, coarse.ground_amsl_m > 9e3)


def test_a_wood_that_is_drawn_casts_its_shadow_at_once(story: Story) -> None:
    story.coverage.show(CoverageKind.NETWORK)
    before = story.fine_picture()
    wood = ClutterBand(
        from_lat_deg=49.99,
        from_lon_deg=4.98,
        to_lat_deg=50.01,
        to_lon_deg=4.98,
        half_width_m=150.0,
        height_m=40.0,
    )
    story.document.edit(replace(PLAN, clutter=(wood,)), "Draw a wood")
    after = story.fine_picture()
    assert after.coverage.area_served_km2 < before.coverage.area_served_km2
    lost = before.coverage.margin_db - after.coverage.margin_db
    assert np.nanmin(lost) > -1e-3
    assert np.nanmax(lost) > 5.0
