"""Rows of the equipment and rule tables, and what each becomes in a plan.

Every row says where its figures are from and how sure they are; a row without a source is refused.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated, Self

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from guyline.core.plan import (
    Antenna,
    Battery,
    ChecklistItem,
    Chemistry,
    Controller,
    Fact,
    Feeder,
    Panel,
    Pattern,
    Polarisation,
    PowerSource,
    Radio,
    RadioRule,
    SiteFunction,
)


class Confidence(StrEnum):
    """How a figure was come by."""

    READ = "A"
    SECOND_HAND = "B"
    MEMORY = "C"
    DERIVED = "D"

    @property
    def meaning(self) -> str:
        return _MEANINGS[self]


LISTENING = ("listen before talk", "carrier sense")  # as the column "access" begins
_MEANINGS = {
    Confidence.READ: "read in the primary text or a quotation of it",
    Confidence.SECOND_HAND: "read in a secondary source",
    Confidence.MEMORY: "from memory or common practice: confirm before relying on it",
    Confidence.DERIVED: "computed from a stated formula",
}

Name = Annotated[str, Field(min_length=1)]
Positive = Annotated[float, Field(gt=0.0)]
NotNegative = Annotated[float, Field(ge=0.0)]
Fraction = Annotated[float, Field(gt=0.0, le=1.0)]
YesNo = Annotated[bool, BeforeValidator(lambda cell: {"yes": True, "no": False}.get(cell, cell))]


class CatalogueRow(BaseModel):
    """What every row has: where it is from and how sure it is."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        allow_inf_nan=False,
        defer_build=True,
    )

    source: Name
    confidence: Confidence
    note: str = ""

    @property
    def evidence(self) -> str:
        """Source and confidence in one line, as it goes into a plan."""
        return f"{self.source} [{self.confidence}]"


class KeyedRow(CatalogueRow):
    """A row that a plan can name."""

    key: Name
    name: Name


class RadioType(KeyedRow):
    """A class of radio; `port` names family and body of its antenna connector."""

    tx_power_dbm: float
    max_tx_power_dbm: float
    noise_figure_db: NotNegative
    supply_v: Positive
    receive_a: NotNegative
    transmit_a: NotNegative
    host_a: NotNegative
    port: str = ""

    @model_validator(mode="after")
    def _power_is_within_its_maximum(self) -> Self:
        if self.tx_power_dbm > self.max_tx_power_dbm:
            raise ValueError("tx_power_dbm is above max_tx_power_dbm")
        return self

    def to_radio(self, identifier: str = "") -> Radio:
        return Radio(
            catalogue_key=self.key,
            identifier=identifier,
            tx_power_dbm=self.tx_power_dbm,
            noise_figure_db=self.noise_figure_db,
            supply_v=self.supply_v,
            receive_a=self.receive_a,
            transmit_a=self.transmit_a,
            host_a=self.host_a,
            port=self.port,
            source=self.evidence,
        )


class AntennaType(KeyedRow):
    """A class of antenna, for the band it is made for."""

    pattern: Pattern
    gain_dbi: float
    beamwidth_azimuth_deg: Annotated[float, Field(gt=0.0, le=360.0)] | None = None
    polarisation: Polarisation = Polarisation.VERTICAL
    low_hz: Positive
    high_hz: Positive
    length_m: Positive | None = None
    port: str = ""

    @model_validator(mode="after")
    def _sector_has_a_width(self) -> Self:
        if self.pattern is Pattern.SECTOR and self.beamwidth_azimuth_deg is None:
            raise ValueError("a sector antenna needs beamwidth_azimuth_deg")
        if self.low_hz >= self.high_hz:
            raise ValueError("low_hz must be below high_hz")
        return self

    def covers(self, frequency_hz: float) -> bool:
        return self.low_hz <= frequency_hz <= self.high_hz

    def to_antenna(self, azimuth_deg: float | None = None, tilt_deg: float = 0.0) -> Antenna:
        return Antenna(
            catalogue_key=self.key,
            pattern=self.pattern,
            gain_dbi=self.gain_dbi,
            polarisation=self.polarisation,
            azimuth_deg=azimuth_deg,
            tilt_deg=tilt_deg,
            beamwidth_azimuth_deg=self.beamwidth_azimuth_deg,
            low_hz=self.low_hz,
            high_hz=self.high_hz,
            port=self.port,
            source=self.evidence,
        )


class FeederType(KeyedRow):
    """A kind of cable."""

    k1_db_per_100ft: Positive
    k2_db_per_100ft: NotNegative
    outer_mm: Positive | None = None
    mass_kg_per_m: Positive | None = None

    def to_feeder(
        self,
        length_m: float | None,
        joints: int = 2,
        has_arrestor: bool = False,
        near_port: str = "",
        far_port: str = "",
    ) -> Feeder:
        return Feeder(
            catalogue_key=self.key,
            length_m=length_m,
            k1_db_per_100ft=self.k1_db_per_100ft,
            k2_db_per_100ft=self.k2_db_per_100ft,
            joints=joints,
            has_arrestor=has_arrestor,
            near_port=near_port,
            far_port=far_port,
            source=self.evidence,
        )


class ConnectorType(KeyedRow):
    """One half of a connector pair."""

    family: Name
    impedance_ohm: Positive
    body: Annotated[str, Field(pattern="^(plug|jack)$")]
    contact: Annotated[str, Field(pattern="^(pin|socket)$")]
    is_weatherproof: YesNo
    matings: Annotated[int, Field(gt=0)] | None = None


class PricedRow(KeyedRow):
    """A row that may say what it costs: no price is unknown, and a price names its currency."""

    price: Positive | None = None
    currency: Annotated[str, Field(pattern="^[A-Z]{3}$")] | None = None
    """Code of ISO 4217."""
    price_source: str = ""

    @model_validator(mode="after")
    def _names_the_currency(self) -> Self:
        if self.price is not None and self.currency is None:
            raise ValueError("currency is missing, such as EUR or USD")
        return self


class BatteryType(PricedRow):
    """A battery as it is bought; `capacity_wh` is what the label says."""

    chemistry: Chemistry
    capacity_wh: Positive
    nominal_v: Positive
    is_power_bank: YesNo
    low_voltage_disconnect_v: Positive | None = None
    reconnect_v: Positive | None = None
    mass_kg: Positive | None = None

    @model_validator(mode="after")
    def _reconnects_above_the_disconnect(self) -> Self:
        off, on = self.low_voltage_disconnect_v, self.reconnect_v
        if off is not None and on is not None and on <= off:
            raise ValueError("reconnect_v must be above low_voltage_disconnect_v")
        return self

    def to_battery(self) -> Battery:
        return Battery(
            chemistry=self.chemistry,
            capacity_wh=self.capacity_wh,
            nominal_v=self.nominal_v,
            is_power_bank=self.is_power_bank,
            low_voltage_disconnect_v=self.low_voltage_disconnect_v,
            reconnect_v=self.reconnect_v,
        )


class ControllerType(KeyedRow):
    """What stands between panel and battery; no efficiency means the panel's voltage decides."""

    kind: Controller
    quiescent_w: NotNegative
    efficiency: Fraction | None = None


class PanelType(PricedRow):
    """A photovoltaic panel; `area_m2` serves wind and packing."""

    stc_w: Positive
    nominal_v: Positive
    area_m2: Positive | None = None
    mass_kg: Positive | None = None

    def to_panel(
        self,
        controller: ControllerType,
        tilt_deg: float | None = None,
        azimuth_deg: float | None = None,
    ) -> Panel:
        return Panel(
            stc_w=self.stc_w,
            tilt_deg=tilt_deg,
            azimuth_deg=azimuth_deg,
            controller=controller.kind,
            controller_quiescent_w=controller.quiescent_w,
        )


class KitRow(CatalogueRow):
    """A line of kit for the sites of a function and a power source; None stands for all."""

    function: SiteFunction | None = None
    power_source: PowerSource | None = None
    item: Name
    quantity: Annotated[int, Field(gt=0)] = 1
    is_critical: YesNo
    mass_kg: Positive | None = None

    def serves(self, function: SiteFunction, power_source: PowerSource) -> bool:
        return self.function in (None, function) and self.power_source in (None, power_source)

    def to_item(self) -> ChecklistItem:
        return ChecklistItem(
            name=self.item,
            quantity=self.quantity,
            is_critical=self.is_critical,
            note=self.note,
            mass_kg=self.mass_kg,
        )


class BandPlanRow(KeyedRow):
    """A regulatory limit as dated data; never advice, never a licence.

    `gain_allowance_dbi` is the antenna gain above which a conducted limit falls dB for dB.
    """

    region: Name
    low_hz: Positive
    high_hz: Positive
    limit_dbm: float
    limit_kind: Annotated[str, Field(pattern="^(EIRP|ERP|conducted)$")]
    duty_fraction: Fraction | None = None
    gain_allowance_dbi: float | None = None
    psd_limit_dbm: float | None = None
    psd_bandwidth_hz: Positive | None = None
    max_dwell_s: Positive | None = None
    max_bandwidth_hz: Positive | None = None
    access: str = ""
    edition: Name

    @model_validator(mode="after")
    def _limits_belong_together(self) -> Self:
        if self.low_hz >= self.high_hz:
            raise ValueError("low_hz must be below high_hz")
        if (self.psd_limit_dbm is None) != (self.psd_bandwidth_hz is None):
            raise ValueError("psd_limit_dbm and psd_bandwidth_hz go together")
        return self

    def holds(self, frequency_hz: float, bandwidth_hz: float = 0.0) -> bool:
        """Whether a signal lies inside the band, edge to edge."""
        half = bandwidth_hz / 2.0
        return self.low_hz <= frequency_hz - half and frequency_hz + half <= self.high_hz

    def to_rule(self) -> RadioRule:
        return RadioRule(
            name=f"{self.region}: {self.name}",
            limit_dbm=self.limit_dbm,
            limit_kind=self.limit_kind,
            duty_fraction=self.duty_fraction,
            source=f"{self.source}; edition {self.edition}",
            confidence=self.confidence.value,
            low_hz=self.low_hz,
            high_hz=self.high_hz,
            gain_allowance_dbi=self.gain_allowance_dbi,
            psd_limit_dbm=self.psd_limit_dbm,
            psd_bandwidth_hz=self.psd_bandwidth_hz,
            max_bandwidth_hz=self.max_bandwidth_hz,
            max_dwell_s=self.max_dwell_s,
            must_listen=Fact.YES if self.access.startswith(LISTENING) else Fact.UNKNOWN,
        )
