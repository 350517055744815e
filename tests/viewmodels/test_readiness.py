"""Findings in words and on a scale: one sees by how much, in which direction."""

from __future__ import annotations

import math

import pytest

from guyline.core.readiness.finding import Comparison, Finding, FindingCode, Verdict
from guyline.viewmodels.desk import Desk
from guyline.viewmodels.readiness import gauge, strip
from stories import HILL


def finding(
    value: float | None, limit: float | None, comparison: Comparison = Comparison.AT_LEAST
) -> Finding:
    from guyline.core.plan import Gate

    return Finding(
        code=FindingCode.LINK_MARGIN,
        gate=Gate.RADIO,
        site_id=HILL,
        verdict=Verdict.NO_GO,
        quantity="link margin",
        value=value,
        limit=limit,
        unit="dB",
        comparison=comparison,
    )


def test_a_value_below_its_limit_lies_left_of_it_on_the_scale() -> None:
    scale = gauge(finding(4.0, 10.0))
    assert scale is not None
    assert scale.zero == 0.0
    assert scale.value == pytest.approx(4.0 / 11.2)  # 10 and 12 % of room after it
    assert scale.limit == pytest.approx(10.0 / 11.2)
    assert not scale.is_kept
    assert scale.caption == "4 of at least 10 dB"


def test_a_negative_value_lies_left_of_zero() -> None:
    scale = gauge(finding(-5.5, 10.0))
    assert scale is not None
    assert 0.0 < scale.value < scale.zero < scale.limit < 1.0
    assert scale.caption == "\N{MINUS SIGN}5.5 of at least 10.0 dB"


def test_a_limit_from_above_is_kept_below_it() -> None:
    scale = gauge(finding(4.0, 10.0, Comparison.AT_MOST))
    assert scale is not None
    assert scale.is_kept
    assert "at most" in scale.caption


@pytest.mark.parametrize(
    ("value", "limit"), [(None, 10.0), (4.0, None), (math.inf, 10.0), (math.nan, 10.0), (0.0, 0.0)]
)
def test_what_cannot_be_drawn_to_scale_has_no_bar(
    value: float | None, limit: float | None
) -> None:
    assert gauge(finding(value, limit)) is None


def test_every_finding_of_a_real_site_becomes_a_strip_with_a_sentence(desk: Desk) -> None:
    assert desk.live.current is not None
    for site in desk.live.current.sites:
        strips = [strip(found) for found in site.findings]
        assert all(s.title and s.sentence for s in strips)
        keys = [s.key for s in strips]
        assert len(keys) == len(set(keys))


def test_without_a_selected_site_there_is_nothing_to_say(desk: Desk) -> None:
    desk.selection.select_site(None)
    assert desk.readiness.site is None
    assert desk.readiness.strips == ()


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (1.17445, "1.174"),
        (105.115, "105.1"),
        (869_525_000.0, "869\N{NARROW NO-BREAK SPACE}525\N{NARROW NO-BREAK SPACE}000"),
        (-131.79, "\N{MINUS SIGN}131.8"),
        (math.inf, "inf"),
    ],
)
def test_an_input_is_shown_with_the_digits_that_mean_something(value: float, shown: str) -> None:
    from guyline.core.readiness.finding import Quantity
    from guyline.viewmodels.readiness import _quantity_text

    assert _quantity_text(Quantity(name="x", value=value)) == shown
