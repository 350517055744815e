"""How findings become a verdict."""

from __future__ import annotations

from itertools import product

import pytest

from guyline.core.plan import (
    Gate,
    SiteId,
)
from guyline.core.readiness.finding import (
    Comparison,
    Finding,
    FindingCode,
    Remedy,
    RemedyAction,
    Verdict,
    combined_verdict,
    severity,
)


def finding(value: float | None, limit: float | None, comparison: Comparison) -> Finding:
    return Finding(
        code=FindingCode.LINK_MARGIN,
        gate=Gate.RADIO,
        site_id=SiteId("A"),
        verdict=Verdict.GO,
        quantity="margin",
        value=value,
        limit=limit,
        comparison=comparison,
    )


@pytest.mark.parametrize("parts", list(product(Verdict, repeat=3)))
def test_every_combination_of_three_gives_the_worst_and_unknown_is_never_go(parts):
    # law: gate truth table of trade practice: NO-GO beats unknown, unknown beats conditions
    combined = combined_verdict(parts)
    if Verdict.NO_GO in parts:
        assert combined is Verdict.NO_GO
    elif Verdict.NOT_ASSESSED in parts:
        assert combined is Verdict.NOT_ASSESSED
    elif Verdict.CONDITIONS in parts:
        assert combined is Verdict.CONDITIONS
    else:
        assert combined is Verdict.GO


@pytest.mark.parametrize("count", [1, 2, 4])
def test_the_order_and_number_of_parts_do_not_matter(count):
    # law: the worst decides, whatever stands beside it and in whatever order
    for parts in product(Verdict, repeat=count):
        worst = min(parts, key=severity)
        assert combined_verdict(parts) is worst
        assert combined_verdict(tuple(reversed(parts))) is worst
        assert combined_verdict((*parts, *parts)) is worst


def test_nothing_looked_at_is_not_assessed():
    assert combined_verdict(()) is Verdict.NOT_ASSESSED


def test_margin_is_positive_where_the_limit_is_kept():
    assert finding(12.0, 10.0, Comparison.AT_LEAST).margin == 2.0
    assert finding(12.0, 10.0, Comparison.AT_MOST).margin == -2.0


def test_margin_of_an_unknown_value_is_unknown():
    assert finding(None, 10.0, Comparison.AT_LEAST).margin is None
    assert finding(3.0, None, Comparison.AT_MOST).margin is None


def test_only_a_remedy_with_a_value_can_be_done_by_a_button():
    assert Remedy(action=RemedyAction.RAISE_ANTENNA, site_id=SiteId("A"), value=9.0).is_edit
    assert not Remedy(action=RemedyAction.RAISE_ANTENNA, site_id=SiteId("A")).is_edit
    assert not Remedy(action=RemedyAction.OBTAIN, site_id=SiteId("A"), value=1.0).is_edit
