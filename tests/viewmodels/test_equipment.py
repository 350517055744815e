"""Choosing from the catalogues fills in every number of the entry."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.plan import Antenna, Site, SiteId
from guyline.errors import InputError
from guyline.services.catalogues import own_catalogues
from guyline.viewmodels.equipment import CHANGED, CHOOSERS, NONE, OTHER
from guyline.viewmodels.fields import edited, shown
from guyline.viewmodels.site_fields import SITE_FIELDS

BLANK = Site(site_id=SiteId("NEW"))
CATALOGUE_PATHS = {"radio": "radios", "antenna": "antennas", "feeder": "feeders"}
ALL_PATHS = CATALOGUE_PATHS | {"power.battery": "batteries", "power.panel": "panels"}


@pytest.mark.parametrize("path", ALL_PATHS)
def test_every_entry_that_is_chosen_is_shown_by_its_name(path: str) -> None:
    field = SITE_FIELDS[path]
    for title in CHOOSERS[ALL_PATHS[path]].titles:
        if title not in (NONE, OTHER):
            assert shown(field, edited(field, BLANK, title)) == title


@pytest.mark.parametrize("path", ALL_PATHS)
def test_none_takes_the_entry_away_again(path: str) -> None:
    field = SITE_FIELDS[path]
    chosen = edited(field, BLANK, CHOOSERS[ALL_PATHS[path]].titles[1])
    assert edited(field, chosen, NONE) == BLANK


def test_an_antenna_brings_its_gain_and_keeps_where_it_points() -> None:
    site = replace(BLANK, antenna=Antenna(azimuth_deg=120.0, tilt_deg=2.0))
    row = own_catalogues().antennas["yagi-9"]
    antenna = edited(SITE_FIELDS["antenna"], site, row.name).antenna
    assert antenna.gain_dbi == row.gain_dbi
    assert antenna.azimuth_deg == 120.0
    assert antenna.tilt_deg == 2.0
    assert antenna.catalogue_key == "yagi-9"


def test_an_entry_is_found_by_its_key_too() -> None:
    assert edited(SITE_FIELDS["antenna"], BLANK, "YAGI-9").antenna.catalogue_key == "yagi-9"


def test_an_entry_whose_numbers_were_changed_says_so() -> None:
    site = edited(SITE_FIELDS["antenna"], BLANK, "yagi-9")
    changed = edited(SITE_FIELDS["antenna.gain_dbi"], site, "3")
    assert shown(SITE_FIELDS["antenna"], changed).endswith(CHANGED)


def test_a_radio_at_less_power_is_still_that_radio() -> None:
    titles = CHOOSERS["radios"].titles
    site = edited(SITE_FIELDS["radio"], BLANK, titles[1])
    quieter = edited(SITE_FIELDS["radio.tx_power_dbm"], site, "5")
    assert shown(SITE_FIELDS["radio"], quieter) == titles[1]


def test_what_no_catalogue_has_is_refused() -> None:
    with pytest.raises(InputError, match="not in the catalogue"):
        edited(SITE_FIELDS["feeder"], BLANK, "wet string")
