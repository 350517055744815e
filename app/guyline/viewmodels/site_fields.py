"""Every value of a site that a person can fill in, in the order a person thinks of them."""

from __future__ import annotations

from dataclasses import dataclass

from guyline.core.plan import (
    Chemistry,
    Controller,
    Fact,
    Pattern,
    Polarisation,
    PowerSource,
    Roof,
    SiteFunction,
    Surroundings,
)
from guyline.viewmodels.fields import Field, Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldGroup:
    """Fields that stand under one heading."""

    title: str
    fields: tuple[Field, ...]
    tip: str = ""


def _fact(path: str, title: str, tip: str = "") -> Field:
    return Field(
        path=path, title=title, kind=Kind.CHOICE, choices=Fact, can_be_unknown=False, tip=tip
    )


def _number(
    path: str,
    title: str,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    *,
    decimals: int = 1,
    scale: float = 1.0,
    tip: str = "",
) -> Field:
    return Field(
        path=path,
        title=title,
        kind=Kind.NUMBER,
        unit=unit,
        minimum=low,
        maximum=high,
        decimals=decimals,
        scale=scale,
        tip=tip,
    )


def _percent(path: str, title: str, tip: str = "", low: float = 0) -> Field:
    return _number(path, title, "%", low, 100, decimals=0, scale=0.01, tip=tip)


PLACE = FieldGroup(
    title="Place",
    fields=(
        Field(path="name", title="Name"),
        Field(
            path="function",
            title="Function",
            kind=Kind.CHOICE,
            choices=SiteFunction,
            can_be_unknown=False,
            tip="What the site does for the network",
        ),
        Field(
            path="position",
            title="Position",
            kind=Kind.POSITION,
            tip="Of the antenna, WGS 84: degrees in any notation, MGRS, UTM or a map link",
        ),
        Field(path="position.source", title="Position from", tip="Handheld receiver, map, survey"),
        _number("position.uncertainty_m", "Position may be off by", "m", 0, 10_000, decimals=0),
        _number(
            "ground_amsl_m",
            "Ground height",
            "m",
            -430,  # the lowest dry land is the shore of a salt lake near -430 m
            8_850,
            tip="Above sea level, as somebody measured it; empty: the terrain data decides",
        ),
        Field(path="ground_source", title="Ground height from"),
        _number(
            "flood_amsl_m",
            "Flood level here",
            "m",
            -500,
            9_000,
            tip="How high the water may come, above sea level; empty: none is expected",
        ),
    ),
)

_CONNECTOR = "Family and body, such as SMA jack or RP-SMA plug"

RADIO = FieldGroup(
    title="Radio and antenna",
    fields=(
        Field(path="radio", title="Radio", kind=Kind.CATALOGUE, catalogue="radios"),
        Field(
            path="radio.identifier",
            title="Radio identifier",
            tip="Read from the radio itself, not from its label",
        ),
        _number("radio.tx_power_dbm", "Transmit power", "dBm", -10, 40),
        _number("radio.noise_figure_db", "Noise figure", "dB", 0, 30),
        _number("radio.supply_v", "Supply", "V", 0.5, 60),
        _number("radio.receive_a", "Current receiving", "mA", 0, 5_000, scale=1e-3),
        _number("radio.transmit_a", "Current transmitting", "mA", 0, 10_000, scale=1e-3),
        _number(
            "radio.host_a",
            "Current of the board",
            "mA",
            0,
            10_000,
            scale=1e-3,
            tip="Processor, regulator and lamps, all the time",
        ),
        Field(path="radio.source", title="Radio's numbers from"),
        Field(path="antenna", title="Antenna", kind=Kind.CATALOGUE, catalogue="antennas"),
        _number("antenna_agl_m", "Antenna height", "m", 0, 300, tip="Above the ground"),
        _number("antenna.gain_dbi", "Antenna gain", "dBi", -20, 40),
        Field(
            path="antenna.pattern",
            title="Pattern",
            kind=Kind.CHOICE,
            choices=Pattern,
            can_be_unknown=False,
        ),
        Field(
            path="antenna.polarisation",
            title="Polarisation",
            kind=Kind.CHOICE,
            choices=Polarisation,
            can_be_unknown=False,
        ),
        _number(
            "antenna.azimuth_deg",
            "Antenna azimuth",
            "°",
            0,
            360,
            decimals=0,
            tip="From true north",
        ),
        _number("antenna.tilt_deg", "Antenna tilt", "°", -90, 90, tip="Positive is downward"),
        _number(
            "antenna.beamwidth_azimuth_deg",
            "Beamwidth",
            "°",
            1,
            360,
            decimals=0,
            tip="Half-power width in azimuth, of a sector, yagi or patch",
        ),
        _number("antenna.low_hz", "Made for from", "MHz", 1, 10_000, scale=1e6),
        _number("antenna.high_hz", "Made for to", "MHz", 1, 10_000, scale=1e6),
        Field(path="antenna.source", title="Antenna's numbers from"),
        Field(path="feeder", title="Feeder", kind=Kind.CATALOGUE, catalogue="feeders"),
        _number("feeder.length_m", "Feeder length", "m", 0, 200),
        Field(
            path="feeder.joints",
            title="Connector pairs",
            kind=Kind.INTEGER,
            minimum=0,
            maximum=20,
            can_be_unknown=False,
            tip="Mated pairs between radio and antenna",
        ),
        Field(path="feeder.has_arrestor", title="Lightning arrestor", kind=Kind.FLAG),
        _number(
            "feeder.k1_db_per_100ft",
            "Feeder loss k1",
            "dB",
            0,
            10,
            decimals=4,
            tip="Per 100 ft and root of MHz, as makers publish it",
        ),
        _number(
            "feeder.k2_db_per_100ft",
            "Feeder loss k2",
            "dB",
            0,
            1,
            decimals=5,
            tip="Per 100 ft and MHz, as makers publish it",
        ),
        Field(path="feeder.source", title="Feeder's numbers from"),
        Field(
            path="radio.listens",
            title="Listens before talking",
            kind=Kind.CHOICE,
            choices=Fact,
            can_be_unknown=False,
            tip="By itself and always, as some rules ask",
        ),
        Field(
            path="radio.port", title="Connector of radio", catalogue="connectors", tip=_CONNECTOR
        ),
        Field(
            path="feeder.near_port",
            title="Feeder, at the radio",
            catalogue="connectors",
            tip=_CONNECTOR,
        ),
        Field(
            path="feeder.far_port",
            title="Feeder, at the antenna",
            catalogue="connectors",
            tip=_CONNECTOR,
        ),
        Field(
            path="antenna.port",
            title="Connector of antenna",
            catalogue="connectors",
            tip=_CONNECTOR,
        ),
    ),
)

SURROUNDINGS = FieldGroup(
    title="Surroundings of the antenna",
    fields=(
        Field(
            path="surroundings",
            title="Stands among",
            kind=Kind.CHOICE,
            choices=Surroundings,
            can_be_unknown=False,
        ),
        Field(
            path="roof", title="Under a roof", kind=Kind.CHOICE, choices=Roof, can_be_unknown=False
        ),
        Field(
            path="trees_m",
            title="Trees on the way",
            kind=Kind.NUMBER,
            unit="m",
            decimals=0,
            minimum=0,
            maximum=5_000,
            can_be_unknown=False,
            tip="Depth of trees that the path runs through next to the antenna",
        ),
    ),
)

TRAFFIC = FieldGroup(
    title="Traffic",
    fields=(
        _number(
            "packets_per_hour",
            "Packets sent",
            "per hour",
            0,
            100_000,
            decimals=0,
            tip="Its own and those it relays",
        ),
        Field(
            path="payload_bytes",
            title="Payload",
            kind=Kind.INTEGER,
            unit="bytes",
            minimum=0,
            maximum=255,
            can_be_unknown=False,
        ),
    ),
)

POWER = FieldGroup(
    title="Power",
    fields=(
        Field(
            path="power.source",
            title="Power source",
            kind=Kind.CHOICE,
            choices=PowerSource,
            can_be_unknown=False,
        ),
        _percent("power.converter_efficiency", "Converter efficiency", low=1),
        _number("power.converter_quiescent_w", "Converter at rest", "W", 0, 50, decimals=2),
        _number(
            "power.clearness",
            "Clearness of the worst month",
            "",
            0.05,
            0.85,
            decimals=2,
            tip="Share of the sun above the air that reaches level ground, 0.25 dull to 0.7 clear",
        ),
        _number("power.coldest_c", "Coldest battery", "°C", -60, 60, decimals=0),
        _fact("power.mains_is_unswitched", "Socket cannot be switched off"),
        _fact("power.mains_has_rcd", "Socket behind a residual current device"),
        _number(
            "power.backup_hours_needed",
            "Backup needed",
            "h",
            0,
            2_400,
            decimals=0,
            tip="How long mains may stay away; empty: the whole mission",
        ),
        _number(
            "power.mains_hours_per_day",
            "Mains by turns",
            "h a day",
            0,
            24,
            tip="Hours of mains in a day while power is cut by turns; empty: it stays away",
        ),
        _number(
            "power.mains_charger_w",
            "Mains charger gives",
            "W",
            0,
            10_000,
            decimals=0,
            tip="To battery and load together, while mains is there",
        ),
        _number(
            "power.battery_swap_days",
            "Battery swapped every",
            "days",
            0.5,
            365,
            decimals=0,
            tip="As the crew promises; empty: never",
        ),
    ),
)

BATTERY = FieldGroup(
    title="Battery",
    fields=(
        Field(path="power.battery", title="Battery", kind=Kind.CATALOGUE, catalogue="batteries"),
        Field(
            path="power.battery.chemistry",
            title="Chemistry",
            kind=Kind.CHOICE,
            choices=Chemistry,
            can_be_unknown=False,
        ),
        _number("power.battery.capacity_wh", "Battery capacity", "Wh", 0, 100_000, decimals=0),
        _number("power.battery.nominal_v", "Nominal voltage", "V", 1, 1_000),
        _percent(
            "power.battery.health_fraction",
            "Health",
            "Measured capacity over the one on the label",
        ),
        _percent("power.battery.charge_fraction", "Charge on installation day"),
        Field(path="power.battery.is_power_bank", title="Power bank", kind=Kind.FLAG),
        _fact("power.battery.is_tested", "Tested under load"),
        _number("power.battery.low_voltage_disconnect_v", "Low-voltage disconnect", "V", 1, 1_000),
        _number("power.battery.reconnect_v", "Reconnects at", "V", 1, 1_000),
    ),
)

PANEL = FieldGroup(
    title="Panel",
    fields=(
        Field(path="power.panel", title="Panel", kind=Kind.CATALOGUE, catalogue="panels"),
        _number("power.panel.stc_w", "Panel power", "W", 0, 10_000, decimals=0, tip="At STC"),
        _number(
            "power.panel.tilt_deg", "Panel tilt", "°", 0, 90, decimals=0, tip="From horizontal"
        ),
        _number(
            "power.panel.azimuth_deg",
            "Panel azimuth",
            "°",
            0,
            360,
            decimals=0,
            tip="From true north",
        ),
        Field(
            path="power.panel.controller",
            title="Charge controller",
            kind=Kind.CHOICE,
            choices=Controller,
            can_be_unknown=False,
        ),
        _number(
            "power.panel.controller_quiescent_w", "Controller at rest", "W", 0, 50, decimals=2
        ),
        _number(
            "power.panel.sunny_hours",
            "Sun from 9 to 15 h",
            "h",
            0,
            6,
            tip="Hours of these six that trees and walls leave free; empty: all. Not counted where"
            " trees and walls are listed one by one",
        ),
    ),
)

GENERATOR = FieldGroup(
    title="Generator",
    fields=(
        _number("power.generator.rated_w", "Generator power", "W", 0, 100_000, decimals=0),
        _number("power.generator.fuel_l", "Fuel at the site", "L", 0, 10_000),
        _number(
            "power.generator.fuel_l_per_h",
            "Measured consumption",
            "L/h",
            0,
            100,
            decimals=2,
            tip="At this load; empty: as small petrol sets burn",
        ),
        _number(
            "power.generator.charger_w",
            "Charger gives",
            "W",
            0,
            10_000,
            decimals=0,
            tip="Into the battery",
        ),
    ),
)

BENCH = FieldGroup(
    title="Bench test",
    tip="As read back from the radio and measured; who tested it stands under Gates",
    fields=(
        Field(path="bench.identifier", title="Identifier read"),
        _number("bench.frequency_hz", "Frequency read", "MHz", 100, 3_000, scale=1e6, decimals=3),
        _number("bench.bandwidth_hz", "Bandwidth read", "kHz", 7.8, 1_625, scale=1e3, decimals=0),
        Field(
            path="bench.spreading_factor",
            title="Spreading factor read",
            kind=Kind.INTEGER,
            minimum=6,
            maximum=12,
        ),
        Field(
            path="bench.coding_rate",
            title="Coding rate read 4/",
            kind=Kind.INTEGER,
            minimum=5,
            maximum=8,
        ),
        _number("bench.tx_power_dbm", "Transmit power read", "dBm", -10, 40),
        Field(path="bench.channel_name", title="Channel name read"),
        Field(
            path="bench.key_identifier",
            title="Key identifier read",
            tip="Which key, never the key itself",
        ),
        _number("bench.vswr", "Standing wave ratio", "", 1, 50, tip="With its own antenna"),
        _number(
            "bench.supply_a",
            "Mean current",
            "mA",
            0,
            10_000,
            scale=1e-3,
            tip="While it listens",
        ),
        _number("bench.soak_hours", "Ran without a fault", "h", 0, 1_000, decimals=0),
    ),
)

MAST = FieldGroup(
    title="Mast and wind",
    tip="An estimate, no structural design: local codes and licensed people decide",
    fields=(
        _number("mast.length_m", "Length of the mast", "m", 0, 300, tip="What stands in the wind"),
        _number("mast.diameter_m", "Diameter of the mast", "mm", 0, 5_000, decimals=0, scale=1e-3),
        _number("mast.antenna_length_m", "Length of the antenna", "m", 0, 30, decimals=2),
        _number(
            "mast.antenna_diameter_m",
            "Diameter of the antenna",
            "mm",
            0,
            5_000,
            decimals=0,
            scale=1e-3,
        ),
        _number(
            "mast.panel_agl_m",
            "Panel on the mast at",
            "m",
            0,
            300,
            tip="Height of its middle; empty: it does not hang on the mast",
        ),
        _number(
            "mast.holds_n_m",
            "What the mast holds",
            "N m",
            0,
            1_000_000,
            decimals=0,
            tip="Moment at its foot, with guys or ballast, as stated by its maker or a rigger",
        ),
        _number(
            "mast.gust_m_s",
            "Strongest gust",
            "m/s",
            0,
            120,
            decimals=0,
            tip="To expect at its top; hilltops have 1.3 to 1.7 times that of open ground",
        ),
    ),
)

PERMISSION = FieldGroup(
    title="Permission and access",
    fields=(
        _fact("permission.is_granted", "Permission granted"),
        _fact("permission.is_written", "In writing"),
        Field(path="permission.granted_by", title="Granted by"),
        Field(path="permission.granted_on", title="Granted on", kind=Kind.DATE),
        Field(path="permission.expires_on", title="Expires on", kind=Kind.DATE),
        Field(path="permission.key_holder", title="Key holder"),
        Field(path="access", title="Access", kind=Kind.LONG_TEXT, tip="Parking, walk, gate"),
        Field(path="nearest_hospital", title="Nearest hospital"),
        Field(path="notes", title="Notes", kind=Kind.LONG_TEXT),
    ),
)

SITE_GROUPS = (
    PLACE,
    RADIO,
    SURROUNDINGS,
    MAST,
    TRAFFIC,
    POWER,
    BATTERY,
    PANEL,
    GENERATOR,
    BENCH,
    PERMISSION,
)
SITE_FIELDS = {field.path: field for group in SITE_GROUPS for field in group.fields}
