"""Knife-edge loss against printed values and the exact Fresnel integrals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import fresnel

from guyline.core.radio.diffraction import knife_edge_loss_db

nus = st.floats(-20, 200)

# Rederived from Rec. ITU-R P.1812 eq. (12), printed to 0.0001 dB.
LOSSES = [
    (-0.78, 0.0),
    (-0.5, 1.9592),
    (0.0, 6.0329),
    (0.5, 10.2878),
    (1.0, 13.9257),
    (1.5, 16.7844),
    (2.0, 19.0429),
    (3.0, 22.4160),
    (5.0, 26.8136),
    (10.0, 32.8554),
]


def exact_loss_db(nu):
    """Rederived: P.526, the Fresnel integrals themselves, by scipy.special.fresnel."""
    s, c = fresnel(nu)
    return -20 * np.log10(np.sqrt((1 - c - s) ** 2 + (c - s) ** 2) / 2)


@pytest.mark.parametrize(("nu", "loss_db"), LOSSES)
def test_loss_is_the_printed_one(nu, loss_db):
    assert knife_edge_loss_db(nu) == pytest.approx(loss_db, abs=5e-5)


def test_loss_keeps_within_0_13_db_of_the_exact_fresnel_integrals():
    nu = np.linspace(-0.78, 10.0, 2001)
    assert np.abs(knife_edge_loss_db(nu) - exact_loss_db(nu)).max() < 0.13


def test_grazing_costs_six_db():
    # The exact integral at nu = 0 is 20 log10(2) = 6.0206 dB.
    assert knife_edge_loss_db(0.0) == pytest.approx(20 * np.log10(2), abs=0.013)


def test_nothing_is_lost_at_the_limit_and_below():
    assert knife_edge_loss_db(np.array([-0.78, -1.0, -50.0, -np.inf])).tolist() == [0.0] * 4


@given(nus, nus)
def test_a_higher_edge_never_costs_less(a, b):
    low, high = sorted((a, b))
    assert knife_edge_loss_db(low) <= knife_edge_loss_db(high)


@given(st.lists(nus, min_size=1, max_size=6))
def test_an_array_gives_what_its_numbers_give(values):
    one_by_one = [knife_edge_loss_db(v) for v in values]
    assert knife_edge_loss_db(np.array(values)) == pytest.approx(one_by_one, rel=1e-12)


def test_unknown_stays_unknown():
    assert np.isnan(knife_edge_loss_db(float("nan")))
