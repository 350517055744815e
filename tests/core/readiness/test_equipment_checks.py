"""Findings about beam and connectors."""

from __future__ import annotations

from dataclasses import replace

import pytest

from guyline.core.network.link import LinkAssessment
from guyline.core.plan import (
    Antenna,
    ChecklistItem,
    Feeder,
    ItemState,
    Link,
    Pattern,
    Radio,
    Site,
    SiteId,
)
from guyline.core.readiness.equipment_checks import equipment_findings
from guyline.core.readiness.finding import FindingCode, RemedyAction, Verdict
from guyline.services.wording import sentence

HILL, TOWN = SiteId("HILL"), SiteId("TOWN")
OMNIS = {f"{gain:g} dBi": Antenna(gain_dbi=gain) for gain in (3.0, 5.0, 10.0)}
CHAIN = Site(
    site_id=HILL,
    radio=Radio(port="SMA jack"),
    feeder=Feeder(length_m=5.0, near_port="RP-SMA plug", far_port="N plug"),
    antenna=Antenna(port="N jack"),
)
ADAPTER = ChecklistItem(name="Adapter, SMA plug to RP-SMA jack", is_critical=True)


def link(elevation_deg: float) -> LinkAssessment:
    return LinkAssessment(
        link=Link(from_id=HILL, to_id=TOWN),
        azimuth_deg=90.0,
        back_azimuth_deg=270.0,
        elevation_deg=elevation_deg,
        back_elevation_deg=-elevation_deg,
    )


def test_town_under_the_beam_is_a_condition_with_the_better_antenna_beside_it() -> None:
    # rederived, trade table: 300 m below at 2 km a 10 dBi omni gives -0.2 dBi, a 5 dBi one 4.1
    site = Site(site_id=HILL, antenna=Antenna(gain_dbi=10.0))
    (found,) = equipment_findings(site, [link(-8.53)], OMNIS)
    assert (found.code, found.verdict) == (FindingCode.ANTENNA_BEAM, Verdict.CONDITIONS)
    assert found.far_id == TOWN
    assert sentence(found).startswith(
        "TOWN is under the antenna's beam: -0.2 dBi of 10.0 dBi arrive there; "
        "better: 5 dBi with 4.1 dBi"
    )
    assert found.remedy is not None
    assert found.remedy.action is RemedyAction.OBTAIN
    assert "5 dBi" in found.remedy.what


def test_neighbour_on_the_beam_is_go() -> None:
    site = Site(site_id=HILL, antenna=Antenna(gain_dbi=5.0))
    (found,) = equipment_findings(site, [link(-8.53)], OMNIS)
    assert found.verdict is Verdict.GO
    assert sentence(found) == "The antenna's beam meets its neighbours: 4.1 dBi toward TOWN."


def test_off_the_beam_with_nothing_better_is_no_condition_as_the_margin_counts_it() -> None:
    site = Site(site_id=HILL, antenna=Antenna(gain_dbi=10.0))
    (found,) = equipment_findings(site, [link(-8.53)], {})
    assert found.verdict is Verdict.GO
    assert "no antenna listed does better" in sentence(found)


def test_all_round_antenna_is_not_held_against_one_that_serves_a_single_neighbour() -> None:
    yagi = {"a Yagi": Antenna(pattern=Pattern.YAGI, gain_dbi=12.0)}
    site = Site(site_id=HILL, antenna=Antenna(gain_dbi=10.0))
    (found,) = equipment_findings(site, [link(-8.53)], yagi)
    assert found.fact("better") == ""


@pytest.mark.parametrize("links", [[], [LinkAssessment(link=Link(from_id=HILL, to_id=TOWN))]])
def test_unknown_direction_or_gain_or_connector_says_nothing(links: list[LinkAssessment]) -> None:
    assert equipment_findings(Site(site_id=HILL, antenna=Antenna(gain_dbi=5.0)), links, {}) == ()
    assert equipment_findings(Site(site_id=HILL), [link(-8.0)], {}) == ()


def test_missing_adapter_is_no_go_and_the_false_mate_is_named() -> None:
    (found,) = equipment_findings(CHAIN, [], {})
    assert (found.code, found.verdict) == (FindingCode.CONNECTORS, Verdict.NO_GO)
    assert sentence(found) == (
        "The connectors do not go together, lacking an adapter SMA plug to RP-SMA jack."
        " Do not force it: SMA jack on RP-SMA plug: threads up, no contact."
    )


def test_adapter_in_hand_on_the_checklist_mends_it_and_one_only_listed_does_not() -> None:
    held = replace(ADAPTER, state=ItemState.IN_HAND)
    (mended,) = equipment_findings(replace(CHAIN, checklist=(held,)), [], {})
    (listed,) = equipment_findings(replace(CHAIN, checklist=(ADAPTER,)), [], {})
    assert mended.verdict is Verdict.GO
    assert listed.verdict is Verdict.NO_GO


def test_connector_nobody_knows_is_not_assessed() -> None:
    odd = replace(CHAIN, radio=Radio(port="the gold one"))
    (found,) = equipment_findings(odd, [], {})
    assert found.verdict is Verdict.NOT_ASSESSED
    assert "'the gold one' names no connector" in sentence(found)
