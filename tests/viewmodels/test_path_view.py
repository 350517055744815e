"""The path shown follows plan and selection, and its numbers are those of the core."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from guyline.core.network.link import assess_link
from guyline.core.plan import (
    Antenna,
    Feeder,
    Incident,
    Link,
    Plan,
    Position,
    Radio,
    Site,
    SiteId,
    Units,
)
from guyline.core.terrain.profile import Profile
from guyline.errors import TerrainError
from guyline.services.geodesy import inverse, points_along
from guyline.viewmodels.document import PlanDocument
from guyline.viewmodels.path_view import FAR, HIGHEST_AGL_M, NEAR, PathModel
from guyline.viewmodels.path_view_facts import path_facts, path_summary
from guyline.viewmodels.path_view_words import clearance_words, pointer_text, void_sentences
from guyline.viewmodels.selection import PathEnd, Selection

HILL, HALL, SHED = SiteId("HILL"), SiteId("HALL"), SiteId("SHED")


class OneHill:
    """Flat ground 10 m above the sea with one round hill half way, sampled every 20 m."""

    def __init__(self, hill_m: float = 60.0, void_m: tuple[float, float] | None = None) -> None:
        self.hill_m, self.void_m, self.asked = hill_m, void_m, 0

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        self.asked += 1
        d, lat, lon = points_along(lat1, lon1, lat2, lon2, 20.0)
        ground = 10.0 + self.hill_m * np.exp(-(((d - d[-1] / 2) / 600.0) ** 2))
        if self.void_m is not None:
            ground[(d > self.void_m[0]) & (d < self.void_m[1])] = np.nan
        return Profile(
            distance_m=d, ground_amsl_m=ground, lat_deg=lat, lon_deg=lon, source="one hill"
        )


def site(site_id: SiteId, lon_deg: float, antenna_agl_m: float | None) -> Site:
    return Site(
        site_id=site_id,
        position=Position(lat_deg=50.0, lon_deg=lon_deg),
        antenna_agl_m=antenna_agl_m,
        radio=Radio(tx_power_dbm=20.0, noise_figure_db=6.0),
        antenna=Antenna(gain_dbi=2.0),
        feeder=Feeder(length_m=0.0),
    )


PLAN = Plan(
    sites=(site(HALL, 5.0, 8.0), site(HILL, 5.1, 6.0), site(SHED, 5.05, None)),
    links=(Link(from_id=HALL, to_id=HILL),),
)


def end(site_id: SiteId) -> PathEnd:
    position = PLAN.site(site_id).position
    assert position is not None
    return PathEnd(lat_deg=position.lat_deg, lon_deg=position.lon_deg, site_id=site_id)


@pytest.fixture
def document() -> PlanDocument:
    return PlanDocument(PLAN)


@pytest.fixture
def selection() -> Selection:
    return Selection()


@pytest.fixture
def model(document: PlanDocument, selection: Selection) -> PathModel:
    model = PathModel(document, selection)
    model.use_terrain(OneHill())
    return model


def fact(model: PathModel, key: str) -> str:
    assert model.view is not None
    return next(f.text for f in path_facts(model.view) if f.key == key)


def test_without_two_ends_there_is_no_path(model: PathModel) -> None:
    assert model.view is None


def test_the_numbers_shown_are_those_the_core_gives(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    way = inverse(50.0, 5.0, 50.0, 5.1)
    profile = OneHill().profile(50.0, 5.0, 50.0, 5.1)
    known = assess_link(
        PLAN,
        PLAN.links[0],
        profile,
        way.distance_m,
        way.azimuth_deg,
        way.back_azimuth_deg,
    )
    assert known.path is not None
    assert known.budget is not None
    assert known.path.worst is not None
    assert fact(model, "distance") == f"{way.distance_m / 1000:.2f} km"
    assert fact(model, "bearing") == (
        f"{way.azimuth_deg:.1f}° there, {way.back_azimuth_deg:.1f}° back"
    )
    assert fact(model, "loss").startswith(f"{known.path.loss_db:.1f} dB")
    assert f"{known.budget.forward.margin_db:.1f} dB there" in fact(model, "margin")
    assert f"{known.budget.backward.margin_db:.1f} back" in fact(model, "margin")
    assert known.path.worst.clearance_m < 0
    assert fact(model, "clearance") == f"cut by {-known.path.worst.clearance_m:.0f} m"


def test_clearance_is_said_as_cut_short_or_free(model: PathModel, selection: Selection) -> None:
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    assert model.view.path is not None
    worst = model.view.path.worst
    assert worst is not None
    cut = replace(worst, clearance_m=-31.2, fresnel_radius_m=20.0)
    short = replace(worst, clearance_m=4.0, fresnel_radius_m=20.0)  # 0.6 * 20 - 4 = 8
    free = replace(worst, clearance_m=24.0, fresnel_radius_m=20.0)  # 24 - 0.6 * 20 = 12
    assert clearance_words(cut, Units.METRIC) == "cut by 31 m"
    assert clearance_words(short, Units.METRIC) == "8.0 m short of 0.6 of the first zone"
    assert clearance_words(free, Units.METRIC) == "12 m above 0.6 of the first zone"
    assert clearance_words(None, Units.METRIC) == "unknown"
    assert clearance_words(cut, Units.IMPERIAL) == "cut by 102 ft"  # 31.2 / 0.3048 = 102.4


def test_a_low_earth_factor_never_leaves_more_clearance(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    path = model.view.path
    assert path is not None
    assert path.worst is not None
    assert path.worst_low_k is not None
    assert path.worst_low_k.clearance_ratio <= path.worst.clearance_ratio


def test_raising_an_antenna_is_one_undo_step_a_drag(
    model: PathModel, document: PlanDocument, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    for heights in ((9.0, 10.0, 12.0), (13.0, 14.0)):
        model.begin_drag()
        for height in heights:
            model.set_antenna(NEAR, height, dragging=True)
    assert document.plan.site(HALL).antenna_agl_m == 14.0
    document.undo_stack.undo()
    assert document.plan.site(HALL).antenna_agl_m == 12.0
    document.undo_stack.undo()
    assert document.plan == PLAN


def test_the_ground_is_read_once_however_often_an_antenna_moves(
    document: PlanDocument, selection: Selection
) -> None:
    terrain = OneHill()
    model = PathModel(document, selection)
    model.use_terrain(terrain)
    selection.select_path((end(HALL), end(HILL)))
    for height in range(10, 40):
        model.set_antenna(FAR, float(height))
    assert terrain.asked == 1


def test_margin_follows_the_antenna_at_once(model: PathModel, selection: Selection) -> None:
    selection.select_path((end(HALL), end(HILL)))
    before = fact(model, "margin")
    model.set_antenna(NEAR, 40.0)
    assert fact(model, "margin") != before


def test_an_antenna_cannot_be_drawn_into_the_ground_or_out_of_reason(
    model: PathModel, document: PlanDocument, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    model.set_antenna(NEAR, -3.0)
    assert document.plan.site(HALL).antenna_agl_m == 0.0
    model.set_antenna(NEAR, 1e6)
    assert document.plan.site(HALL).antenna_agl_m == HIGHEST_AGL_M


def test_the_antenna_of_a_bare_point_is_no_edit_of_the_plan(
    model: PathModel, document: PlanDocument, selection: Selection
) -> None:
    selection.select_path((end(HALL), PathEnd(lat_deg=50.0, lon_deg=5.08)))
    model.set_antenna(FAR, 12.0)
    assert selection.path is not None
    assert selection.path[FAR].antenna_agl_m == 12.0
    assert not document.is_modified
    assert model.view is not None
    assert model.view.path is not None
    assert model.view.path.rx_agl_m == 12.0


def test_a_bare_point_has_loss_and_clearance_but_no_margin(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), PathEnd(lat_deg=50.0, lon_deg=5.08)))
    assert model.view is not None
    keys = [f.key for f in path_facts(model.view)]
    assert keys == ["distance", "bearing", "loss", "clearance", "clearance-low-k"]
    assert fact(model, "loss") != "unknown"


def test_an_unknown_antenna_height_leaves_loss_unknown_and_says_so(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(SHED)))
    assert model.view is not None
    assert model.view.path is None
    assert "Antenna height of SHED unknown" in model.view.problem
    assert fact(model, "loss") == fact(model, "margin") == fact(model, "clearance") == "unknown"


def test_holes_in_the_data_are_said_and_leave_the_rest_unknown(
    document: PlanDocument, selection: Selection
) -> None:
    model = PathModel(document, selection)
    model.use_terrain(OneHill(void_m=(3090.0, 4010.0)))
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    assert void_sentences(model.view) == ("no terrain data between km 3.1 and 4.0",)
    assert fact(model, "loss") == fact(model, "clearance") == "unknown"
    assert "no terrain data between km 3.1 and 4.0" in path_summary(model.view)
    assert pointer_text(model.view, 3500.0).endswith("no terrain data")


def test_without_terrain_distance_and_bearing_stay_known(
    document: PlanDocument, selection: Selection
) -> None:
    model = PathModel(document, selection)
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    assert model.view.problem.startswith("No elevation data")
    assert fact(model, "distance") == "7.17 km"  # change detector; equals PROJ by another test


def test_terrain_that_cannot_be_read_is_told_with_its_advice(
    document: PlanDocument, selection: Selection
) -> None:
    class Broken:
        def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
            raise TerrainError("The file is cut short.", advice="Copy it again.")

    model = PathModel(document, selection)
    model.use_terrain(Broken())
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    assert model.view.problem == "The file is cut short. Copy it again."


def test_a_path_follows_a_site_that_moves_and_ends_with_one_that_goes(
    model: PathModel, document: PlanDocument, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    moved = replace(PLAN.site(HILL), position=Position(lat_deg=50.0, lon_deg=5.2))
    document.edit(PLAN.with_site(moved), "Move HILL")
    assert model.view is not None
    assert model.view.way.distance_m == pytest.approx(inverse(50, 5.0, 50, 5.2).distance_m)
    document.edit(PLAN.without_sites([HILL]), "Remove HILL")
    assert model.view is None


def test_choosing_a_first_site_takes_a_linked_site_for_the_other_end(
    model: PathModel, selection: Selection
) -> None:
    model.choose_site(FAR, HILL)
    assert selection.path is not None
    assert [e.site_id for e in selection.path] == [HALL, HILL]


def test_choosing_the_other_ends_own_site_turns_the_path_round(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    model.choose_site(NEAR, HILL)
    assert selection.path is not None
    assert [e.site_id for e in selection.path] == [HILL, HALL]


def test_swapping_keeps_the_loss_and_turns_the_bearings(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    loss, view = fact(model, "loss"), model.view
    model.swap()
    assert view is not None
    assert model.view is not None
    assert fact(model, "loss") == loss
    assert model.view.way.azimuth_deg == pytest.approx(view.way.back_azimuth_deg)


def test_a_loosened_end_stays_where_its_site_is(model: PathModel, selection: Selection) -> None:
    selection.select_path((end(HALL), end(HILL)))
    model.loosen(FAR)
    assert selection.path is not None
    far = selection.path[FAR]
    assert (far.site_id, far.lat_deg, far.lon_deg, far.antenna_agl_m) == (None, 50.0, 5.1, 6.0)


def test_the_pointer_finds_its_place_and_the_place_its_distance(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    place = model.place_at(2500.0)
    assert place is not None
    back = model.distance_of(*place, within_m=1.0)
    assert back == pytest.approx(2500.0, abs=10.0)  # half the sampling step
    assert model.distance_of(50.02, 5.05, within_m=100.0) is None


def test_imperial_plans_are_read_in_feet_and_miles(
    document: PlanDocument, model: PathModel, selection: Selection
) -> None:
    document.edit(replace(PLAN, incident=Incident(units=Units.IMPERIAL)), "Use feet")
    selection.select_path((end(HALL), end(HILL)))
    assert fact(model, "distance") == "4.45 mi"  # 7.168 km / 1.609344
    assert "ft" in fact(model, "clearance")


def test_every_number_of_the_header_tells_its_formula_and_source(
    model: PathModel, selection: Selection
) -> None:
    selection.select_path((end(HALL), end(HILL)))
    assert model.view is not None
    for shown in path_facts(model.view):
        assert shown.working.formula, shown.key
        assert shown.working.source, shown.key
        assert shown.working.inputs, shown.key
