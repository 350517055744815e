"""Prices come from the catalogues, and the user's own go first."""

from __future__ import annotations

import pytest

from guyline.core.plan import Chemistry
from guyline.errors import CatalogueError
from guyline.services.catalogues import load_catalogues, shipped_catalogues
from guyline.services.prices import OWN_SOURCE, price_list

HEADER = "key,name,stc_w,nominal_v,price,currency,price_source,source,confidence\n"


def test_shipped_prices_say_that_they_are_from_memory():
    prices = price_list(shipped_catalogues())
    known = [row.price for row in (*prices.panels, *prices.batteries)]
    assert len(known) > 15
    assert {price.source for price in known} == {"indicative, from memory"}
    assert {price.currency for price in known} == {"EUR"}


def test_a_larger_part_of_the_shipped_list_is_never_cheaper():  # law of the table
    prices = price_list(shipped_catalogues())
    panels = [row.price.amount for row in sorted(prices.panels, key=lambda row: row.stc_w)]
    assert panels == sorted(panels)
    for chemistry in (Chemistry.LIFEPO4, Chemistry.AGM):
        rows = [row for row in prices.batteries if row.chemistry is chemistry]
        amounts = [row.price.amount for row in sorted(rows, key=lambda row: row.capacity_wh)]
        assert amounts == sorted(amounts)


def test_the_users_own_price_goes_before_the_shipped_one(tmp_path):
    row = "mine,My panel,20,12,70,USD,,quote of the shop,A\n"
    (tmp_path / "panels.csv").write_text(HEADER + row, encoding="utf-8")
    price = price_list(load_catalogues(tmp_path)).panel(20.0)
    assert (price.amount, price.currency, price.source) == (70.0, "USD", OWN_SOURCE)


def test_a_row_without_a_price_stays_unknown(tmp_path):
    (tmp_path / "panels.csv").write_text(
        HEADER + "mine,My panel,500,12,,,,label,A\n", encoding="utf-8"
    )
    assert price_list(load_catalogues(tmp_path)).panel(400.0) is None


@pytest.mark.parametrize("cells", ["70,,", "70,dollars,", "-1,EUR,"])
def test_a_price_without_currency_or_below_nothing_is_refused(tmp_path, cells):
    row = f"mine,My panel,20,12,{cells},label,A\n"
    (tmp_path / "panels.csv").write_text(HEADER + row, encoding="utf-8")
    with pytest.raises(CatalogueError, match="row 2"):
        load_catalogues(tmp_path)
