"""The public formulas at the edge of their domain: an error that helps, or NaN, never a number."""

from __future__ import annotations

from collections.abc import Callable
from math import inf, isnan, nan

import numpy as np
import pytest

from guyline.core.radio.diffraction import delta_bullington, delta_bullington_loss_db
from guyline.core.radio.free_space import free_space_loss_db
from guyline.core.radio.fresnel import diffraction_parameter, fresnel_radius_m
from guyline.core.radio.knife_edge import knife_edge_loss_db
from guyline.core.radio.link_budget import LinkBudget, Terminal, link_budget
from guyline.core.radio.p1812 import basic_loss_db
from guyline.errors import GuylineError

F = 868e6
D, FLAT = [0.0, 5e3, 1e4], [0.0, 0.0, 0.0]
WORDS = ["ten", "metres", "high"]
LONG = np.linspace(0.0, 1e4, 21)


def p1812(**changed) -> float:
    good = {
        "distance_m": LONG, "height_amsl_m": 0 * LONG, "clutter_height_m": 0 * LONG,
        "zone": np.full(21, 4), "tx_agl_m": 10, "rx_agl_m": 2, "frequency_hz": F,
        "time_percent": 50,
    }  # fmt: skip
    return basic_loss_db(**good | changed)


def terminal(**changed) -> Terminal:
    good = {
        "tx_power_dbm": 14.0, "feeder_loss_db": 1.0, "antenna_gain_dbi": 2.0,
        "noise_figure_db": 6.0,
    }  # fmt: skip
    return Terminal(**good | changed)


REFUSED: dict[str, Callable[[], object]] = {
    "Fresnel zone of no frequency": lambda: fresnel_radius_m(1.0, 1.0, 0.0),
    "Fresnel zone of a negative frequency": lambda: fresnel_radius_m(1.0, 1.0, -F),
    "Fresnel zone of an endless frequency": lambda: fresnel_radius_m(1.0, 1.0, inf),
    "Fresnel zone of an unknown frequency": lambda: fresnel_radius_m(1.0, 1.0, nan),
    "Fresnel zone number nought": lambda: fresnel_radius_m(1.0, 1.0, F, zone=0),
    "Fresnel zone of three and four distances": lambda: fresnel_radius_m(
        np.ones(3), np.ones(4), F
    ),
    "Fresnel zone of words": lambda: fresnel_radius_m("near", "far", F),
    "diffraction parameter of no frequency": lambda: diffraction_parameter(1.0, 1.0, 1.0, 0.0),
    "diffraction parameter of words": lambda: diffraction_parameter("high", 1.0, 1.0, F),
    "knife edge of a word": lambda: knife_edge_loss_db("sharp"),
    "free space of no frequency": lambda: free_space_loss_db(1e3, 0.0),
    "free space of a word": lambda: free_space_loss_db("far", F),
    "path of no sample": lambda: delta_bullington_loss_db([], [], 10, 10, F),
    "path of one sample": lambda: delta_bullington_loss_db([0.0], [0.0], 10, 10, F),
    "path of a single number": lambda: delta_bullington_loss_db(0.0, 0.0, 10, 10, F),
    "path of words": lambda: delta_bullington_loss_db(D, WORDS, 10, 10, F),
    "path with two heights for three distances": lambda: delta_bullington_loss_db(
        D, FLAT[:2], 10, 10, F
    ),
    "path that turns back": lambda: delta_bullington_loss_db([0, 2e3, 1e3], FLAT, 10, 10, F),
    "path that does not begin": lambda: delta_bullington_loss_db([1, 2e3, 3e3], FLAT, 10, 10, F),
    "path of an unknown distance": lambda: delta_bullington_loss_db(
        [0, nan, 1e4], FLAT, 10, 10, F
    ),
    "path without end": lambda: delta_bullington_loss_db([0, 1e3, inf], FLAT, 10, 10, F),
    "antenna under ground": lambda: delta_bullington_loss_db(D, FLAT, -1, 10, F),
    "two antenna heights": lambda: delta_bullington_loss_db(D, FLAT, np.ones(2), 10, F),
    "two frequencies": lambda: delta_bullington_loss_db(D, FLAT, 10, 10, np.array([F, F])),
    "Earth of no radius": lambda: delta_bullington_loss_db(D, FLAT, 10, 10, F, 0.0),
    "hollow Earth": lambda: delta_bullington_loss_db(D, FLAT, 10, 10, F, -8.5e6),
    "unknown Earth": lambda: delta_bullington_loss_db(D, FLAT, 10, 10, F, nan),
    "unknown polarisation": lambda: delta_bullington_loss_db(D, FLAT, 10, 10, F, 8.5e6, "slant"),
    "budget of no bandwidth": lambda: link_budget(terminal(), terminal(), 120.0, 0.0, 9),
    "budget of an unknown bandwidth": lambda: link_budget(terminal(), terminal(), 120.0, nan, 9),
    "spreading factor 5": lambda: link_budget(terminal(), terminal(), 120.0, 125e3, 5),
    "cable that gives power": lambda: terminal(feeder_loss_db=-3.0),
    "receiver quieter than nature": lambda: terminal(noise_figure_db=-1.0),
    "P.1812 over sunken trees": lambda: p1812(clutter_height_m=np.full(21, -5.0)),
    "P.1812 over words": lambda: p1812(height_amsl_m=["hill"] * 21),
    "P.1812 with one zone for all": lambda: p1812(zone=4),
    "P.1812 in an unknown zone": lambda: p1812(zone=np.full(21, nan)),
    "P.1812 in zones of words": lambda: p1812(zone=["sea"] * 21),
    "P.1812 under 30 MHz": lambda: p1812(frequency_hz=29.9e6),
    "P.1812 for nearly always": lambda: p1812(time_percent=50.1),
    "P.1812 for next to never": lambda: p1812(time_percent=0.001),
    "P.1812 for nobody": lambda: p1812(location_percent=0.0),
    "P.1812 from orbit": lambda: p1812(tx_agl_m=3001.0),
    "P.1812 from an unknown height": lambda: p1812(rx_agl_m=nan),
    "P.1812 by a letter": lambda: p1812(polarisation="V"),
}


@pytest.mark.parametrize("call", REFUSED.values(), ids=REFUSED.keys())
def test_it_is_refused_with_advice(call):
    with pytest.raises(GuylineError) as refusal:
        call()
    assert str(refusal.value)
    assert refusal.value.advice


UNKNOWN: dict[str, Callable[[], float]] = {
    "zone at a point on no path": lambda: fresnel_radius_m(0.0, 0.0, F),
    "zone before the path": lambda: fresnel_radius_m(-1.0, 100.0, F),
    "zone on a negative path": lambda: fresnel_radius_m(-50.0, -50.0, F),
    "zone at an unknown place": lambda: fresnel_radius_m(nan, 100.0, F),
    "zone on a path without end": lambda: fresnel_radius_m(inf, 100.0, F),
    "edge at the antenna": lambda: diffraction_parameter(1.0, 0.0, 100.0, F),
    "edge before the antenna": lambda: diffraction_parameter(1.0, -10.0, 100.0, F),
    "edge of unknown height": lambda: diffraction_parameter(nan, 10.0, 100.0, F),
    "loss of an unknown edge": lambda: knife_edge_loss_db(nan),
    "free space of no length": lambda: free_space_loss_db(0.0, F),
    "free space of negative length": lambda: free_space_loss_db(-5.0, F),
    "ground unknown": lambda: delta_bullington_loss_db(D, [0, nan, 0], 10, 10, F),
    "ground unknown at the end": lambda: delta_bullington_loss_db(D, [0, 0, nan], 10, 10, F),
    "ground endless": lambda: delta_bullington_loss_db(D, [0, inf, 0], 10, 10, F),
    "ground bottomless": lambda: delta_bullington_loss_db(D, [0, -inf, 0], 10, 10, F),
    "antenna of unknown height": lambda: delta_bullington_loss_db(D, FLAT, nan, 10, F),
    "antenna of endless height": lambda: delta_bullington_loss_db(D, FLAT, 10, inf, F),
    "P.1812 over unknown ground": lambda: p1812(height_amsl_m=np.where(LONG == 5e3, nan, 0.0)),
    "P.1812 over unknown cover": lambda: p1812(clutter_height_m=np.where(LONG == 5e3, nan, 0.0)),
}


@pytest.mark.parametrize("call", UNKNOWN.values(), ids=UNKNOWN.keys())
def test_it_is_unknown(call):
    assert isnan(call())


@pytest.mark.parametrize(
    ("near", "far", "path_db", "limiting"),
    [
        (terminal(noise_figure_db=nan), terminal(), 120.0, "backward"),
        (terminal(), terminal(noise_figure_db=nan), 120.0, "forward"),
        (terminal(tx_power_dbm=nan), terminal(), 120.0, "forward"),
        (terminal(), terminal(antenna_gain_dbi=nan), 120.0, "forward"),
        (terminal(), terminal(), nan, "forward"),
    ],
)
def test_a_direction_that_is_unknown_limits_and_leaves_the_margin_unknown(
    near, far, path_db, limiting
):
    budget: LinkBudget = link_budget(near, far, path_db, 125e3, 9)
    assert budget.limiting == limiting
    assert isnan(budget.margin_db)


def test_an_endless_loss_leaves_no_margin_at_all():
    assert link_budget(terminal(), terminal(), inf, 125e3, 9).margin_db == -inf


def test_scalars_give_floats_and_arrays_give_arrays_of_the_same_numbers():
    near, far = np.array([0.0, 1e3, 5e3]), np.array([1e4, 9e3, 5e3])
    many = fresnel_radius_m(near, far, F)
    assert many.shape == (3,)
    for i in range(3):
        one = fresnel_radius_m(float(near[i]), float(far[i]), F)
        assert type(one) is float
        assert one == many[i]
    nu = np.array([[-inf, -0.78, 0.0], [1.0, 30.0, nan]])
    assert knife_edge_loss_db(nu).shape == (2, 3)
    assert type(knife_edge_loss_db(1.0)) is float
    assert knife_edge_loss_db(nu)[1, 0] == knife_edge_loss_db(1.0)
    assert type(free_space_loss_db(1e3, F)) is float
    assert type(delta_bullington_loss_db(D, FLAT, 10, 10, F)) is float


def test_one_distance_serves_many_and_lists_and_whole_numbers_do():
    assert fresnel_radius_m([1000, 5000], 5000, 868_000_000) == pytest.approx(
        [fresnel_radius_m(1e3, 5e3, F), fresnel_radius_m(5e3, 5e3, F)]
    )


def test_the_edge_of_the_largest_float_is_still_a_number():
    # law: J grows as 6.9 + 20 log10(2 nu)
    assert knife_edge_loss_db(1e200) == pytest.approx(6.9 + 20 * (np.log10(2) + 200))


def test_two_samples_are_a_path_over_the_smooth_earth_alone():
    # law: without an interior sample no edge stands in the way; the rest is the smooth Earth
    ours = delta_bullington([0.0, 1e4], [0.0, 0.0], 10.0, 10.0, F)
    assert ours.bullington_db == 0.0
    assert ours.smooth_bullington_db == 0.0
    # Rederived by an implementation that meets all published P.1812 results, land, 10 km
    assert ours.loss_db == pytest.approx(9.816, abs=0.001)


def test_three_samples_are_a_single_edge():
    # Rederived: h = 40 m + 1.4706 m of Earth at mid-path, nu = h sqrt(4 / (lambda d1)), then
    # P.1812 eqs. (12) and (21)
    h = 50.0 - 10.0 + 5e3 * 5e3 / (2 * 8.5e6)
    edge_db = knife_edge_loss_db(diffraction_parameter(h, 5e3, 5e3, F))
    whole = edge_db + (1 - np.exp(-edge_db / 6)) * (10 + 0.02 * 10)
    ours = delta_bullington(D, [0.0, 50.0, 0.0], 10.0, 10.0, F)
    assert ours.bullington_db == pytest.approx(whole, abs=1e-9)


@pytest.mark.parametrize("tx_m", [0.0, 1e-9])
def test_an_antenna_on_the_ground_is_the_limit_of_a_low_one(tx_m):
    low = delta_bullington_loss_db(D, FLAT, 1e-6, 10.0, F)
    assert delta_bullington_loss_db(D, FLAT, tx_m, 10.0, F) == pytest.approx(low, abs=0.02)
