"""What every path computation asks of its distances and heights."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from guyline.core.units import Numbers
from guyline.errors import InputError


def as_numbers(what: str, values: ArrayLike) -> Numbers:
    """Values as floats; None becomes NaN.

    Raises
    ------
    InputError
        Something among them is no number.
    """
    try:
        return np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError) as error:
        raise InputError(
            f"The {what} is not made of numbers.", advice="Give numbers, or NaN for unknown."
        ) from error


def as_number(what: str, value: ArrayLike) -> float:
    """One value as a float; None becomes NaN.

    Raises
    ------
    InputError
        It is no number, or more than one.
    """
    number = as_numbers(what, value)
    if number.size != 1:
        raise InputError(
            f"The {what} is an array of shape {number.shape}.", advice="Give one number."
        )
    return float(number.reshape(-1)[0])


def broadcast(*named: tuple[str, ArrayLike]) -> tuple[Numbers, ...]:
    """Several values as float arrays of one shape.

    Raises
    ------
    InputError
        Something among them is no number, or the shapes do not go together.
    """
    arrays = [as_numbers(what, values) for what, values in named]
    try:
        return tuple(np.broadcast_arrays(*arrays))
    except ValueError as error:
        shapes = ", ".join(f"{what} {a.shape}" for (what, _), a in zip(named, arrays, strict=True))
        raise InputError(
            f"The shapes do not go together: {shapes}.",
            advice="Give arrays of the same length, or single numbers.",
        ) from error


def checked_distances_m(distance_m: Numbers, *others: ArrayLike) -> Numbers:
    """Distances of a path as floats, once they and the arrays beside them make sense.

    Raises
    ------
    InputError
        Fewer than two samples, lengths that differ, or distances that do not rise from 0.
    """
    distance = as_numbers("distance along the path", distance_m)
    if distance.ndim != 1 or distance.size < 2:
        raise InputError(
            f"A path needs at least two samples, got an array of shape {distance.shape}.",
            advice="Sample the ground at both ends and between them.",
        )
    if any(np.shape(other) != distance.shape for other in others):
        shapes = ", ".join(str(np.shape(other)) for other in others)
        raise InputError(
            f"Distances have the shape {distance.shape}, what belongs to them {shapes}.",
            advice="Give one value for each distance.",
        )
    steps = np.diff(distance)
    rises = steps[0] > 0.0 and steps[-1] > 0.0 and (steps >= 0.0).all()  # a wall between is fine
    if distance[0] != 0.0 or not rises or np.isinf(distance[-1]):
        raise InputError(
            "Distances along a path must rise from 0 at the transmitter.",
            advice="Check that both ends are not the same place and the samples are in order.",
        )
    return distance


def check_frequency(frequency_hz: ArrayLike) -> None:
    """Refuse a frequency, or one among several, that no formula here can take."""
    frequency = as_numbers("frequency", frequency_hz)
    if not ((frequency > 0.0) & np.isfinite(frequency)).all():
        raise InputError(
            f"The frequency is {frequency_hz!s} Hz.",
            advice="Enter a frequency above zero, in hertz.",
        )


def check_radio(frequency_hz: float, polarisation: str) -> None:
    """Refuse a frequency or polarisation that no formula here can take."""
    check_frequency(as_number("frequency", frequency_hz))
    if polarisation not in ("vertical", "horizontal"):
        raise InputError(
            f'The polarisation is "{polarisation}".', advice='Choose "vertical" or "horizontal".'
        )


def check_antenna_above_ground(end: str, antenna_amsl_m: float, ground_amsl_m: float) -> None:
    if antenna_amsl_m < ground_amsl_m:
        below = ground_amsl_m - antenna_amsl_m
        raise InputError(
            f"The antenna at the {end} lies {below:.1f} m below the ground.",
            advice="Check the antenna height and the ground height there.",
        )
