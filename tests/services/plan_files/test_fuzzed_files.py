"""Whatever bytes come: a plan that can be saved again, or a sentence; nothing else."""

from __future__ import annotations

import copy
import json
from typing import Any

from hypothesis import event, given, settings
from hypothesis import strategies as st

import stories
from guyline.errors import PlanFileError
from guyline.services.plan_files import plan_from_bytes, plan_to_bytes

WHOLE = plan_to_bytes(stories.three_sites())
RAW = json.loads(WHOLE)

NUMBERS = st.integers() | st.floats() | st.sampled_from([0, -1, 10**30, 1e308, 5e-324])
WORDS = st.text(max_size=8) | st.sampled_from(
    ["HILL", "UTC", "unknown", "2031-06-31", "__class__"]
)
VALUES = st.recursive(
    st.none() | st.booleans() | NUMBERS | WORDS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(WORDS | st.sampled_from(list(RAW["plan"])), inner, max_size=3)
    ),
    max_leaves=6,
)


def read_or_refused(data: bytes) -> None:
    refusal = ""
    try:
        plan = plan_from_bytes(data)
    except PlanFileError as error:
        refusal = str(error)
    if refusal:
        event("refused")
        assert refusal.endswith(".")
    else:
        event("read")
        written = plan_to_bytes(plan)  # degrees lose digits once, then nothing changes any more
        assert plan_to_bytes(plan_from_bytes(written)) == written


@st.composite
def damaged(draw: st.DrawFn) -> bytes:
    """A whole file with pieces overwritten, cut out, put in or doubled."""
    data = bytearray(WHOLE)
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(data)))
        end = start + draw(st.integers(0, 12))
        data[start:end] = draw(
            st.binary(max_size=6)
            | st.sampled_from([b"", b'"', b"{", b"}", b"]", b",", b"NaN", b"1e999", b"\\ud800"])
            | st.just(bytes(data[end : end + 60]))
        )
    return bytes(data)


@st.composite
def rebuilt(draw: st.DrawFn) -> bytes:
    """A file whose JSON is whole, with any values in the place of others."""
    raw = copy.deepcopy(RAW)
    for _ in range(draw(st.integers(1, 3))):
        place: Any = raw
        while True:
            keys = list(place) if isinstance(place, dict) else list(range(len(place)))
            if not keys:
                break
            key = draw(st.sampled_from(keys))
            if isinstance(place[key], dict | list) and draw(st.integers(0, 5)):
                place = place[key]
                continue
            place[key] = draw(VALUES)
            break
    return json.dumps(raw).encode()


@settings(max_examples=300)
@given(st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(data: bytes) -> None:
    read_or_refused(data)


@settings(max_examples=300)
@given(VALUES)
def test_any_json_in_the_place_of_the_plan_is_read_or_refused(value: object) -> None:
    read_or_refused(json.dumps({"format": 1, "plan": value}).encode())


@settings(max_examples=300)
@given(damaged())
def test_a_damaged_file_is_read_or_refused(data: bytes) -> None:
    read_or_refused(data)


@settings(max_examples=300)
@given(rebuilt())
def test_a_file_with_any_values_is_read_or_refused(data: bytes) -> None:
    read_or_refused(data)
