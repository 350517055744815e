"""The shipped tables are whole, and a bad row is refused with file, row and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from guyline.core.plan import Pattern, PowerSource, SiteFunction
from guyline.core.radio.connectors import port_named
from guyline.errors import CatalogueError
from guyline.services.catalogue_rows import CatalogueRow, Confidence
from guyline.services.catalogues import Catalogues, load_catalogues

FEEDER_HEADER = "key,name,k1_db_per_100ft,k2_db_per_100ft,source,confidence\n"


@pytest.fixture(scope="module")
def catalogues() -> Catalogues:
    return load_catalogues()


def all_rows(catalogues: Catalogues) -> list[CatalogueRow]:
    return [
        *catalogues.radios.values(),
        *catalogues.antennas.values(),
        *catalogues.feeders.values(),
        *catalogues.connectors.values(),
        *catalogues.batteries.values(),
        *catalogues.panels.values(),
        *catalogues.controllers.values(),
        *catalogues.kits,
        *catalogues.band_plans.values(),
    ]


def test_every_shipped_row_has_a_source_and_a_confidence(catalogues: Catalogues) -> None:
    rows = all_rows(catalogues)
    assert len(rows) > 150
    assert all(row.source and row.confidence.meaning for row in rows)


def test_what_was_only_remembered_is_marked_so(catalogues: Catalogues) -> None:
    remembered = [row for row in all_rows(catalogues) if row.source.startswith("from memory")]
    assert remembered
    assert {row.confidence for row in remembered} == {Confidence.MEMORY}


def test_rg_58_is_two_cables_and_the_lossier_stands_first(catalogues: Catalogues) -> None:
    kinds = [row for row in catalogues.feeders.values() if row.name.startswith("RG-58")]
    assert len(kinds) == 2
    assert kinds[0].k1_db_per_100ft > kinds[1].k1_db_per_100ft


def test_rows_become_plan_values_with_key_and_evidence(catalogues: Catalogues) -> None:
    radio = catalogues.radios["relay-low-power"].to_radio("A7")
    antenna = catalogues.antennas["sector-12-90"].to_antenna(azimuth_deg=45.0, tilt_deg=4.0)
    feeder = catalogues.feeders["rg-213"].to_feeder(12.0, has_arrestor=True)
    battery = catalogues.batteries["lifepo4-12v-12ah"].to_battery()
    panel = catalogues.panels["panel-20w"].to_panel(catalogues.controllers["mppt-12v"], 60.0, 0.0)
    assert (radio.catalogue_key, radio.identifier) == ("relay-low-power", "A7")
    assert antenna.pattern is Pattern.SECTOR
    assert (antenna.beamwidth_azimuth_deg, antenna.tilt_deg) == (90.0, 4.0)
    assert (feeder.length_m, feeder.has_arrestor) == (12.0, True)
    assert battery.capacity_wh == pytest.approx(12.8 * 12.0)
    assert (panel.stc_w, panel.controller_quiescent_w) == (20.0, 0.24)
    assert all("[" in value.source for value in (radio, antenna, feeder))


@pytest.mark.parametrize("function", SiteFunction)
@pytest.mark.parametrize("source", PowerSource)
def test_every_kind_of_site_has_critical_kit_first_and_no_item_twice(
    catalogues: Catalogues, function: SiteFunction, source: PowerSource
) -> None:
    kit = catalogues.kit_for(function, source)
    names = [item.name for item in kit]
    assert len(set(names)) == len(names)
    critical = [item.is_critical for item in kit]
    assert critical == sorted(critical, reverse=True)
    assert any("antenna" in item.name.lower() for item in kit if item.is_critical)


def test_solar_site_needs_a_panel_and_mains_site_does_not(catalogues: Catalogues) -> None:
    solar = {item.name for item in catalogues.kit_for(SiteFunction.RELAY, PowerSource.SOLAR)}
    mains = {item.name for item in catalogues.kit_for(SiteFunction.RELAY, PowerSource.MAINS)}
    assert "Solar panel" in solar - mains
    assert "Power adapter" in mains - solar


def test_band_plan_is_found_by_the_whole_signal_not_its_centre(catalogues: Catalogues) -> None:
    inside = catalogues.band_plans_for(869_525_000.0, 125_000.0)
    outside = catalogues.band_plans_for(869_420_000.0, 125_000.0)
    assert [row.key for row in inside] == ["cept-869-4"]
    assert outside == ()
    rule = inside[0].to_rule()
    assert (rule.limit_dbm, rule.limit_kind, rule.duty_fraction) == (27.0, "ERP", 0.1)
    assert "2025-02" in rule.source


def test_band_between_two_rows_has_no_limit_entered(catalogues: Catalogues) -> None:
    assert catalogues.band_plans_for(868_650_000.0) == ()


def test_row_without_a_source_is_refused_with_file_and_row(tmp_path: Path) -> None:
    (tmp_path / "feeders.csv").write_text(
        FEEDER_HEADER + "mine,My cable,0.2,0.001,measured on the bench,A\n"
        "other,Other cable,0.2,0.001,  ,A\n"
    )
    with pytest.raises(CatalogueError, match=r"feeders\.csv, row 3: the row has no source") as it:
        load_catalogues(tmp_path)
    assert "common practice, no source" in it.value.advice


def test_own_rows_are_added_to_the_shipped_ones(tmp_path: Path) -> None:
    (tmp_path / "feeders.csv").write_text(
        FEEDER_HEADER.replace(",", ";") + "mine;My cable;0.2;0.001;measured on the bench;A\n",
        encoding="utf-8-sig",
    )
    loaded = load_catalogues(tmp_path)
    assert loaded.feeders["mine"].to_feeder(3.0).length_m == 3.0
    assert "rg-213" in loaded.feeders


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("rg-213,Again,0.2,0.001,bench,A", "the key rg-213 stands already"),
        ("mine,My cable,nan,0.001,bench,A", "k1_db_per_100ft"),
        ("mine,My cable,-1,0.001,bench,A", "k1_db_per_100ft"),
        ("mine,My cable,,0.001,bench,A", "k1_db_per_100ft is missing"),
        ("mine,My cable,0.2,0.001,bench,Z", "confidence"),
        ("mine,My cable,0.2,0.001,bench,A,more", "more cells than columns"),
    ],
)
def test_wrong_cell_is_named(tmp_path: Path, line: str, said: str) -> None:
    (tmp_path / "feeders.csv").write_text(FEEDER_HEADER + line + "\n")
    with pytest.raises(CatalogueError, match=said) as it:
        load_catalogues(tmp_path)
    assert it.value.advice


def test_unknown_column_and_unknown_file_are_refused(tmp_path: Path) -> None:
    (tmp_path / "feeders.csv").write_text("key,colour\nmine,red\n")
    with pytest.raises(CatalogueError, match=r"feeders\.csv, row 2"):
        load_catalogues(tmp_path)
    (tmp_path / "feeders.csv").unlink()
    (tmp_path / "wires.csv").write_text("key\n")
    with pytest.raises(CatalogueError, match=r"wires\.csv: no catalogue has this name"):
        load_catalogues(tmp_path)


def test_missing_folder_adds_nothing(tmp_path: Path) -> None:
    assert load_catalogues(tmp_path / "nowhere").feeders.keys() == load_catalogues().feeders.keys()


def test_file_that_is_no_text_is_refused_by_name(tmp_path: Path) -> None:
    (tmp_path / "feeders.csv").write_bytes(b"\xff\xfe\x00\x80" * 20)
    with pytest.raises(CatalogueError, match=r"feeders\.csv cannot be read"):
        load_catalogues(tmp_path)


def test_connectors_of_the_catalogue_have_the_contact_their_name_says(
    catalogues: Catalogues,
) -> None:
    for row in catalogues.connectors.values():
        port = port_named(row.name)
        assert (port.family, port.body, port.contact) == (row.family, row.body, row.contact)
        assert port.impedance_ohm == row.impedance_ohm


def test_every_port_of_radios_and_antennas_is_a_connector_of_the_catalogue(
    catalogues: Catalogues,
) -> None:
    names = {row.name for row in catalogues.connectors.values()}
    ports = [row.port for row in (*catalogues.radios.values(), *catalogues.antennas.values())]
    assert set(ports) <= names


def test_antenna_of_another_band_is_not_among_those_for_a_frequency(
    catalogues: Catalogues,
) -> None:
    at_868, at_433 = catalogues.antennas_for(868e6), catalogues.antennas_for(433.5e6)
    assert "omni-5" in at_868
    assert "omni-5-433" not in at_868
    assert set(at_433) == {"dipole-433", "omni-5-433"}
