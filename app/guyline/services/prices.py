"""The prices of the catalogues: the user's own go before the shipped ones, which are a guide."""

from __future__ import annotations

from typing import TYPE_CHECKING

from guyline.core.power.prices import Price, PricedBattery, PricedPanel, PriceList
from guyline.services.catalogues import Catalogues, shipped_catalogues

if TYPE_CHECKING:  # pydantic is loaded with the first table, not with a start
    from guyline.services.catalogue_rows import PricedRow

OWN_SOURCE = "own catalogue"


def price_list(catalogues: Catalogues) -> PriceList:
    """Return what panels and batteries cost, as far as the catalogues say."""
    shipped = shipped_catalogues()
    return PriceList(
        panels=tuple(
            PricedPanel(
                stc_w=row.stc_w, price=_price(row, own := key not in shipped.panels), is_own=own
            )
            for key, row in catalogues.panels.items()
            if row.price is not None
        ),
        batteries=tuple(
            PricedBattery(
                chemistry=row.chemistry,
                capacity_wh=row.capacity_wh,
                price=_price(row, own := key not in shipped.batteries),
                is_own=own,
            )
            for key, row in catalogues.batteries.items()
            if row.price is not None and not row.is_power_bank
        ),
    )


def _price(row: PricedRow, is_own: bool) -> Price:
    assert row.price is not None
    assert row.currency is not None
    return Price(
        amount=row.price,
        currency=row.currency,
        source=row.price_source or (OWN_SOURCE if is_own else row.evidence),
    )
