"""Building entry loss, Rec. ITU-R P.2109."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.building_entry import (
    Construction,
    building_entry_loss_db,
    building_entry_sd_db,
)
from guyline.errors import InputError

OLD, NEW = Construction.TRADITIONAL, Construction.EFFICIENT
KINDS = st.sampled_from(list(Construction))


@pytest.mark.parametrize(
    ("kind", "f_ghz", "elevation_deg", "expected_db"),
    [
        (OLD, 28.0, 0.0, [2.769, 6.891, 20.218, 41.218]),
        (NEW, 28.0, 0.0, [9.369, 19.484, 41.732, 73.818]),
        (OLD, 2.0, 45.0, [3.508, 11.251, 23.556, 40.694]),
        (NEW, 2.0, 45.0, [8.605, 20.566, 37.995, 62.459]),
    ],
)
def test_loss_agrees_with_the_published_validation_values(
    kind: Construction, f_ghz: float, elevation_deg: float, expected_db: list[float]
) -> None:
    # published: a public validation set of P.2109, printed to 0.001 dB; its percentages are
    # rounded too, which moves the loss by up to 0.0005 dB
    percents = [1.0, 10.0, 50.11872, 95.49926]
    loss = building_entry_loss_db(kind, f_ghz * 1e9, percents, elevation_deg)
    assert loss == pytest.approx(expected_db, abs=0.001)


@pytest.mark.parametrize(
    ("kind", "f_ghz", "elevation_deg", "expected_db"),
    [
        (OLD, 0.868, 0.0, [1.22, 5.72, 14.22, 25.04, 28.33, 34.62]),
        (NEW, 0.868, 0.0, [6.88, 17.16, 31.21, 46.55, 51.09, 59.77]),
        (OLD, 0.915, 0.0, [1.23, 5.72, 14.25, 25.16, 28.47, 34.79]),
        (NEW, 0.915, 0.0, [6.89, 17.11, 31.13, 46.54, 51.11, 59.85]),
        (OLD, 0.868, 10.0, [1.43, 6.44, 15.73, 26.98, 30.33, 36.68]),
    ],
)
def test_loss_at_868_and_915_mhz_agrees_with_the_rederived_table(
    kind: Construction, f_ghz: float, elevation_deg: float, expected_db: list[float]
) -> None:
    percents = [1, 10, 50, 90, 95, 99]
    loss = building_entry_loss_db(kind, f_ghz * 1e9, percents, elevation_deg)
    assert loss == pytest.approx(expected_db, abs=0.006)


def test_loss_agrees_with_pycraf_on_a_grid() -> None:
    # independent implementation: pycraf 2.1
    pathprof = pytest.importorskip("pycraf.pathprof")
    conversions = pytest.importorskip("pycraf.conversions")
    units = pytest.importorskip("astropy.units")
    kinds = {
        OLD: pathprof.BuildingType.TRADITIONAL,
        NEW: pathprof.BuildingType.THERM_EFF,
    }
    for kind, their_kind in kinds.items():
        for f_ghz in (0.1, 0.433, 0.868, 0.915, 5.0):
            for elevation_deg in (0.0, 8.0, -30.0):
                for chance in (0.02, 0.3, 0.5, 0.9, 0.98):
                    theirs = pathprof.building_entry_loss(
                        f_ghz * units.GHz,
                        elevation_deg * units.deg,
                        chance * conversions.dimless,
                        their_kind,
                    ).to_value(conversions.dB)
                    ours = building_entry_loss_db(kind, f_ghz * 1e9, 100.0 * chance, elevation_deg)
                    assert float(ours) == pytest.approx(float(np.squeeze(theirs)), abs=0.01)


@given(kind=KINDS, percent=st.floats(1.0, 98.0), elevation_deg=st.floats(0.0, 80.0))
def test_loss_grows_with_probability_and_with_either_elevation(
    kind: Construction, percent: float, elevation_deg: float
) -> None:
    here = float(building_entry_loss_db(kind, 868e6, percent, elevation_deg))
    assert float(building_entry_loss_db(kind, 868e6, percent + 1.0, elevation_deg)) > here
    assert float(building_entry_loss_db(kind, 868e6, percent, elevation_deg + 5.0)) > here
    assert float(building_entry_loss_db(kind, 868e6, percent, -elevation_deg)) == here


def test_spread_is_near_the_first_sigma_of_the_recommendation() -> None:
    # rederived: sigma1 is 9.5 dB traditional, 13.3 dB efficient; the second term narrows the sum
    assert 7.5 < building_entry_sd_db(OLD, 868e6) < 9.5
    assert 11.0 < building_entry_sd_db(NEW, 868e6) < 13.3


@pytest.mark.parametrize(("frequency_hz", "percent"), [(868e6, 0.0), (868e6, 100.0), (50e6, 50)])
def test_values_outside_the_recommendation_are_refused(
    frequency_hz: float, percent: float
) -> None:
    with pytest.raises(InputError) as refusal:
        building_entry_loss_db(OLD, frequency_hz, percent)
    assert refusal.value.advice
