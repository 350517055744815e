"""Packages that compute the same by other means."""

from __future__ import annotations

import warnings

import pytest


@pytest.fixture(scope="session")
def pycraf():
    """Return astropy.units and the conversions and pathprof of pycraf."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # astropy calls its own test runner deprecated
        pytest.importorskip("pycraf")
        from astropy import units
        from pycraf import conversions, pathprof
    return units, conversions, pathprof
