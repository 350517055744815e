from __future__ import annotations

import pytest

from guyline.viewmodels.paper.printed_sheets import MOST_PLANS, PrintedSheets
from guyline.viewmodels.settings import PRINTED, Settings, stored_settings

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.fixture
def settings() -> Settings:
    return Settings(stored_settings())


def test_nothing_is_remembered_before_the_first_print(settings: Settings) -> None:
    assert PrintedSheets(settings).of("flood") == {}


def test_printing_one_sheet_leaves_what_is_known_of_the_others(settings: Settings) -> None:
    printed = PrintedSheets(settings)
    printed.remember("flood", {"site A": "1", "site B": "2"})
    printed.remember("flood", {"site A": "3"})
    printed.remember("fire", {"site A": "4"})
    assert PrintedSheets(settings).of("flood") == {"site A": "3", "site B": "2"}


def test_only_the_latest_plans_are_kept(settings: Settings) -> None:
    printed = PrintedSheets(settings)
    for n in range(MOST_PLANS + 5):
        printed.remember(f"plan {n}", {"review": str(n)})
    assert printed.of("plan 0") == {}
    assert printed.of("plan 5") == {"review": "5"}
    assert printed.of(f"plan {MOST_PLANS + 4}") == {"review": str(MOST_PLANS + 4)}


@pytest.mark.parametrize("spoilt", ["", "{", "[]", '{"flood": 3}', "null"])
def test_a_spoilt_memory_is_empty(settings: Settings, spoilt: str) -> None:
    settings.put(PRINTED, spoilt)
    assert PrintedSheets(settings).of("flood") == {}
