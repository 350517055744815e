"""Every value of the plan itself that a person can fill in."""

from __future__ import annotations

from enum import StrEnum

from guyline.core.plan import Fact, Relaying, Surroundings, Units
from guyline.viewmodels.fields import Field, Kind
from guyline.viewmodels.site_fields import FieldGroup


class LimitKind(StrEnum):
    """What a limit on radiated power is counted against."""

    EIRP = "EIRP"
    ERP = "ERP"
    CONDUCTED = "conducted"


INCIDENT = FieldGroup(
    title="Incident",
    fields=(
        Field(path="incident.name", title="Incident"),
        Field(path="incident.area", title="Area"),
        Field(
            path="incident.start_on",
            title="Network up from",
            kind=Kind.DATE,
            tip="The day the network must be up",
        ),
        Field(
            path="incident.mission_days",
            title="Mission",
            kind=Kind.INTEGER,
            unit="days",
            minimum=1,
            maximum=3_650,
            tip="How long the network must stay up",
        ),
        Field(
            path="incident.time_zone",
            title="Time zone",
            can_be_unknown=False,
            tip="IANA name, as UTC or Etc/GMT-2",
        ),
        Field(
            path="incident.units",
            title="Units",
            kind=Kind.CHOICE,
            choices=Units,
            can_be_unknown=False,
            tip="Of forms, table, map, profile and paper; sentences and numbers of findings stay"
            " metric",
        ),
        Field(path="incident.planner", title="Planner"),
        Field(path="incident.planner_phone", title="Planner's phone"),
        Field(path="incident.net_control", title="Net control"),
        Field(
            path="incident.emergency_phone",
            title="Emergency number",
            tip="What the crew dials for ambulance and fire; printed on every site sheet",
        ),
    ),
)

RADIO_PROFILE = FieldGroup(
    title="Radio profile",
    tip="The air settings all radios of the plan share",
    fields=(
        Field(
            path="radio_profile.frequency_hz",
            title="Frequency",
            kind=Kind.NUMBER,
            unit="MHz",
            scale=1e6,
            decimals=3,
            minimum=100,
            maximum=3_000,
            can_be_unknown=False,
        ),
        Field(
            path="radio_profile.bandwidth_hz",
            title="Bandwidth",
            kind=Kind.NUMBER,
            unit="kHz",
            scale=1e3,
            decimals=0,
            minimum=7.8,
            maximum=1_625,
            can_be_unknown=False,
        ),
        Field(
            path="radio_profile.spreading_factor",
            title="Spreading factor",
            kind=Kind.INTEGER,
            minimum=6,
            maximum=12,
            can_be_unknown=False,
        ),
        Field(
            path="radio_profile.coding_rate",
            title="Coding rate 4/",
            kind=Kind.INTEGER,
            minimum=5,
            maximum=8,
            can_be_unknown=False,
        ),
        Field(
            path="radio_profile.preamble_symbols",
            title="Preamble",
            kind=Kind.INTEGER,
            unit="symbols",
            minimum=6,
            maximum=65_535,
            can_be_unknown=False,
        ),
        Field(
            path="radio_profile.required_margin_db",
            title="Required margin",
            kind=Kind.NUMBER,
            unit="dB",
            minimum=0,
            maximum=60,
            can_be_unknown=False,
            tip="What a link must have left over before it counts",
        ),
        Field(path="radio_profile.channel_name", title="Channel name"),
        Field(
            path="radio_profile.key_identifier",
            title="Key identifier",
            tip="Which key, never the key itself",
        ),
        Field(
            path="radio_profile.hop_limit",
            title="Hop limit",
            kind=Kind.INTEGER,
            minimum=0,
            maximum=255,
        ),
        Field(
            path="radio_profile.relaying",
            title="Messages travel",
            kind=Kind.CHOICE,
            choices=Relaying,
            can_be_unknown=False,
            tip="What relays send on decides how busy they are",
        ),
        Field(
            path="trees_in_leaf",
            title="Trees in leaf",
            kind=Kind.CHOICE,
            choices=Fact,
            can_be_unknown=False,
            tip="During the mission; unknown counts as yes",
        ),
        Field(
            path="earth_k",
            title="Earth factor k",
            kind=Kind.NUMBER,
            decimals=2,
            minimum=0.3,
            maximum=10,
            can_be_unknown=False,
            tip="Median effective Earth radius over the true one; 4/3 in a temperate climate",
        ),
    ),
)

RADIO_RULE = FieldGroup(
    title="Radio rule",
    tip="As you read it in the rules that apply to you; this program gives no legal advice",
    fields=(
        Field(path="radio_rule", title="From table", kind=Kind.CATALOGUE, catalogue="band_plans"),
        Field(
            path="radio_rule.limit_dbm",
            title="Limit",
            kind=Kind.NUMBER,
            unit="dBm",
            minimum=-50,
            maximum=80,
            makes_parent=True,
            tip="Empty: no limit is entered, and none is checked",
        ),
        Field(path="radio_rule.name", title="Rule"),
        Field(
            path="radio_rule.limit_kind",
            title="Limit is of",
            kind=Kind.CHOICE,
            choices=LimitKind,
            can_be_unknown=False,
        ),
        Field(
            path="radio_rule.duty_fraction",
            title="Duty cycle",
            kind=Kind.NUMBER,
            unit="%",
            scale=0.01,
            decimals=1,
            minimum=0,
            maximum=100,
        ),
        Field(
            path="radio_rule.low_hz",
            title="Band from",
            kind=Kind.NUMBER,
            unit="MHz",
            scale=1e6,
            decimals=3,
            minimum=1,
            maximum=10_000,
        ),
        Field(
            path="radio_rule.high_hz",
            title="Band to",
            kind=Kind.NUMBER,
            unit="MHz",
            scale=1e6,
            decimals=3,
            minimum=1,
            maximum=10_000,
        ),
        Field(
            path="radio_rule.max_bandwidth_hz",
            title="Widest signal",
            kind=Kind.NUMBER,
            unit="kHz",
            scale=1e3,
            minimum=1,
            maximum=10_000,
        ),
        Field(
            path="radio_rule.max_dwell_s",
            title="Longest transmission",
            kind=Kind.NUMBER,
            unit="s",
            minimum=0,
            maximum=3_600,
        ),
        Field(
            path="radio_rule.must_listen",
            title="Listen before talking",
            kind=Kind.CHOICE,
            choices=Fact,
            can_be_unknown=False,
            tip="Whether the rule asks for it",
        ),
        Field(
            path="radio_rule.gain_allowance_dbi",
            title="Antenna gain free of charge",
            kind=Kind.NUMBER,
            unit="dBi",
            minimum=-10,
            maximum=60,
            tip="Above it a conducted limit falls dB for dB",
        ),
        Field(
            path="radio_rule.psd_limit_dbm",
            title="Power density",
            kind=Kind.NUMBER,
            unit="dBm",
            minimum=-100,
            maximum=80,
            tip="Most power within the width below",
        ),
        Field(
            path="radio_rule.psd_bandwidth_hz",
            title="Density counted in",
            kind=Kind.NUMBER,
            unit="kHz",
            scale=1e3,
            minimum=0.1,
            maximum=10_000,
        ),
        Field(path="radio_rule.source", title="Source"),
        Field(path="radio_rule.confidence", title="Confidence"),
        Field(path="radio_rule.checked_on", title="Checked on", kind=Kind.DATE),
    ),
)

HANDHELD = FieldGroup(
    title="Pocket radio",
    tip="The radio that coverage is worked out for",
    fields=(
        Field(
            path="handheld.antenna_agl_m",
            title="Held at",
            kind=Kind.NUMBER,
            unit="m",
            minimum=0.1,
            maximum=30,
            can_be_unknown=False,
        ),
        Field(
            path="handheld.gain_dbi",
            title="Antenna gain",
            kind=Kind.NUMBER,
            unit="dBi",
            minimum=-20,
            maximum=15,
            can_be_unknown=False,
        ),
        Field(
            path="handheld.body_loss_db",
            title="Taken by the body",
            kind=Kind.NUMBER,
            unit="dB",
            minimum=0,
            maximum=40,
            can_be_unknown=False,
        ),
        Field(
            path="handheld.tx_power_dbm",
            title="Transmit power",
            kind=Kind.NUMBER,
            unit="dBm",
            minimum=-10,
            maximum=40,
            can_be_unknown=False,
        ),
        Field(
            path="handheld.noise_figure_db",
            title="Noise figure",
            kind=Kind.NUMBER,
            unit="dB",
            minimum=0,
            maximum=30,
            can_be_unknown=False,
        ),
        Field(
            path="handheld.surroundings",
            title="Its bearer is among",
            kind=Kind.CHOICE,
            choices=Surroundings,
            can_be_unknown=False,
        ),
    ),
)

LAND_COVER = FieldGroup(
    title="Land cover",
    tip="Trees and houses along the paths",
    fields=(
        Field(
            path="land_cover_path",
            title="Map of classes",
            tip="A GeoTIFF with the classes of ESA WorldCover, found like the elevation files",
        ),
        Field(
            path="land_cover_licence",
            title="Whose it is",
            tip="The words that its licence asks to be shown",
        ),
    ),
)

PLAN_GROUPS = (INCIDENT, RADIO_PROFILE, RADIO_RULE, HANDHELD, LAND_COVER)
