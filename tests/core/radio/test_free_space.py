"""Free-space loss against printed values, an independent package and its laws."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.free_space import free_space_loss_db

distances = st.floats(1.0, 3e5)
frequencies = st.floats(1e8, 6e9)


def test_one_kilometre_at_868_mhz_is_the_exact_form_of_p525():
    # Rederived: 20 log10(4 pi * 1000 m * 868e6 / 299792458) = 91.2182 dB
    assert free_space_loss_db(1000.0, 868e6) == pytest.approx(91.218, abs=5e-4)


@pytest.mark.parametrize(
    ("km", "mhz"), [(0.25, 868), (1, 868), (1, 915), (10, 868), (20, 868), (30, 915), (60, 915)]
)
def test_the_practical_form_of_p525_lies_0_048_db_lower(km, mhz):
    # Worked form, Rec. ITU-R P.525: 32.4 + 20 log f + 20 log d; its constant is 32.4478 unrounded
    practical = 32.4 + 20 * np.log10(mhz) + 20 * np.log10(km)
    assert free_space_loss_db(km * 1e3, mhz * 1e6) - practical == pytest.approx(0.0478, abs=1e-4)


def test_pycraf_says_the_same(pycraf):
    # Independent implementation: pycraf 2.1, conversions.free_space_loss (a gain: sign flipped)
    u, cnv, _ = pycraf
    km = np.array([0.25, 1.0, 10.0, 60.0])
    theirs = -cnv.free_space_loss(km * u.km, 868 * u.MHz).to_value(cnv.dB)
    assert free_space_loss_db(km * 1e3, 868e6) == pytest.approx(theirs, abs=1e-6)


@given(distances, frequencies)
def test_doubling_distance_or_frequency_adds_six_db(distance_m, frequency_hz):
    more = free_space_loss_db(distance_m, frequency_hz) + 20 * np.log10(2)
    assert free_space_loss_db(2 * distance_m, frequency_hz) == pytest.approx(more)
    assert free_space_loss_db(distance_m, 2 * frequency_hz) == pytest.approx(more)


@given(st.lists(distances, min_size=1, max_size=5))
def test_an_array_gives_what_its_numbers_give(metres):
    one_by_one = [free_space_loss_db(d, 868e6) for d in metres]
    assert free_space_loss_db(np.array(metres), 868e6) == pytest.approx(one_by_one, rel=1e-12)
    assert isinstance(one_by_one[0], float)


def test_no_distance_has_no_loss_that_anyone_could_state():
    loss = free_space_loss_db(np.array([0.0, -1.0, np.nan, 1.0]), 868e6)
    assert np.isnan(loss).tolist() == [True, True, True, False]
