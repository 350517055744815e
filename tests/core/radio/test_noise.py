"""External noise, Rec. ITU-R P.372; values rederived from its lines, printed to 0.1 dB."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.noise import (
    NoiseEnvironment,
    man_made_noise_db,
    planning_noise_figure_db,
    system_noise_figure_db,
)
from guyline.errors import InputError

FIGURES_DB = st.floats(0.5, 12.0)
ENVIRONMENTS = st.sampled_from(list(NoiseEnvironment))


@pytest.mark.parametrize(
    ("environment", "at_868_db", "at_915_db"),
    [
        (NoiseEnvironment.CITY, -4.6, -5.2),
        (NoiseEnvironment.BUSINESS, 8.2, 7.9),
        (NoiseEnvironment.RESIDENTIAL, -8.9, -9.5),
        (NoiseEnvironment.RURAL, -14.2, -14.8),
    ],
)
def test_noise_lines_agree_with_the_rederived_table(
    environment: NoiseEnvironment, at_868_db: float, at_915_db: float
) -> None:
    assert man_made_noise_db(environment, 868e6) == pytest.approx(at_868_db, abs=0.06)
    assert man_made_noise_db(environment, 915e6) == pytest.approx(at_915_db, abs=0.06)


@pytest.mark.parametrize(
    ("figure_db", "frequency_hz", "expected_db"),
    [(6.0, 868e6, 9.79), (6.0, 915e6, 9.59), (3.0, 868e6, 8.8), (7.0, 868e6, 10.2)],
)
def test_business_district_raises_the_noise_figure_as_rederived(
    figure_db: float, frequency_hz: float, expected_db: float
) -> None:
    external = man_made_noise_db(NoiseEnvironment.BUSINESS, frequency_hz)
    raised = system_noise_figure_db(figure_db, external)
    assert raised == pytest.approx(expected_db, abs=0.006 if figure_db == 6.0 else 0.06)


@given(figure_db=FIGURES_DB, feeder_db=st.floats(0.0, 10.0))
def test_quiet_surroundings_leave_the_receiver_as_it_is(
    figure_db: float, feeder_db: float
) -> None:
    assert system_noise_figure_db(figure_db, -14.2, feeder_db) == pytest.approx(figure_db)


@given(figure_db=FIGURES_DB, external_db=st.floats(0.0, 30.0), feeder_db=st.floats(0.0, 10.0))
def test_feeder_weakens_noise_from_outside_but_noise_never_improves_a_receiver(
    figure_db: float, external_db: float, feeder_db: float
) -> None:
    bare = system_noise_figure_db(figure_db, external_db)
    behind = system_noise_figure_db(figure_db, external_db, feeder_db)
    assert figure_db - 1e-9 <= behind <= bare + 1e-9


@given(figure_db=FIGURES_DB, environment=ENVIRONMENTS)
def test_planning_figure_is_at_least_what_p372_gives_and_at_least_the_judged_rise(
    figure_db: float, environment: NoiseEnvironment
) -> None:
    planned = planning_noise_figure_db(figure_db, environment, 868e6)
    computed = system_noise_figure_db(figure_db, man_made_noise_db(environment, 868e6))
    assert planned >= computed
    assert planned >= figure_db


def test_town_is_planned_two_db_noisier_than_the_country() -> None:
    assert planning_noise_figure_db(6.0, NoiseEnvironment.RESIDENTIAL, 868e6) == 8.0
    assert planning_noise_figure_db(6.0, NoiseEnvironment.RURAL, 868e6) == pytest.approx(6.0)


def test_no_frequency_is_refused() -> None:
    with pytest.raises(InputError):
        man_made_noise_db(NoiseEnvironment.RURAL, 0.0)
