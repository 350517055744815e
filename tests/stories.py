"""Small plans and grounds that several tests tell their story with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import numpy as np

from guyline.core.network.link import LinkAssessment, assess_link
from guyline.core.plan import (
    ASKED,
    Antenna,
    Battery,
    ChecklistItem,
    Chemistry,
    Controller,
    Fact,
    Feeder,
    Gate,
    GateRecord,
    Incident,
    ItemState,
    Link,
    LinkReading,
    Need,
    Panel,
    Permission,
    Plan,
    Position,
    PowerSource,
    PowerSystem,
    Radio,
    RadioProfile,
    RadioRule,
    Site,
    SiteFunction,
    SiteId,
    Surroundings,
)
from guyline.core.terrain.grid import Grid
from guyline.core.terrain.profile import Profile
from guyline.services.geodesy import LocalFrame, inverse
from guyline.services.job import Job

HALL, HILL, SHED = SiteId("HALL"), SiteId("HILL"), SiteId("SHED")

Ground = Callable[[np.ndarray, np.ndarray], np.ndarray]


def flat_ground(lat_deg: np.ndarray, lon_deg: np.ndarray) -> np.ndarray:
    return np.full(np.shape(lat_deg), 20.0)


def ridge(height_m: float) -> Ground:
    """Flat ground at 20 m with a ridge across, half way between hall and hill."""

    def ground(lat_deg: np.ndarray, lon_deg: np.ndarray) -> np.ndarray:
        return np.where(np.abs(lon_deg + 29.99) < 0.0006, 20.0 + height_m, 20.0)

    return ground


class DrawnTerrain:
    """Stands for services.elevation.Terrain with a ground given by a function."""

    def __init__(self, ground: Ground = flat_ground, height_sd_m: float | None = 0.5) -> None:
        self._ground = ground
        self._height_sd_m = height_sd_m
        self.problems: tuple[str, ...] = ()
        self.profiles_made = 0

    def height_amsl_m(self, lat_deg: float, lon_deg: float) -> np.ndarray:
        return self._ground(np.asarray(lat_deg, float), np.asarray(lon_deg, float))

    def pitch_m(self, *places_deg: float) -> float:
        return 30.0

    def profile(self, lat1: float, lon1: float, lat2: float, lon2: float) -> Profile:
        self.profiles_made += 1
        length_m = inverse(lat1, lon1, lat2, lon2).distance_m
        share = np.linspace(0.0, 1.0, max(3, int(length_m // 30)))
        lat, lon = lat1 + (lat2 - lat1) * share, lon1 + (lon2 - lon1) * share
        return Profile(
            distance_m=share * length_m,
            ground_amsl_m=self._ground(lat, lon),
            lat_deg=lat,
            lon_deg=lon,
            source="drawn ground",
            height_sd_m=self._height_sd_m,
        )

    def grid(
        self,
        frame: LocalFrame,
        west_m: float,
        south_m: float,
        east_m: float,
        north_m: float,
        cell_m: float,
        job: Job | None = None,
    ) -> Grid:
        columns, rows = round((east_m - west_m) / cell_m), round((north_m - south_m) / cell_m)
        x = west_m + (np.arange(columns) + 0.5) * cell_m
        y = north_m - (np.arange(rows) + 0.5) * cell_m
        lat, lon = frame.to_lat_lon(*np.meshgrid(x, y))
        return Grid(
            ground_amsl_m=np.asarray(self._ground(lat, lon), dtype=np.float32),
            cell_m=cell_m,
            west_m=west_m,
            north_m=north_m,
            lat0_deg=frame.lat0_deg,
            lon0_deg=frame.lon0_deg,
        )


def mains() -> PowerSystem:
    return PowerSystem(
        source=PowerSource.MAINS_WITH_BACKUP,
        battery=Battery(
            chemistry=Chemistry.LIFEPO4,
            capacity_wh=1000.0,
            nominal_v=12.8,
            health_fraction=1.0,
            charge_fraction=1.0,
            is_tested=Fact.YES,
        ),
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        coldest_c=10.0,
        mains_is_unswitched=Fact.YES,
        mains_has_rcd=Fact.YES,
        backup_hours_needed=72.0,
    )


def solar() -> PowerSystem:
    return PowerSystem(
        source=PowerSource.SOLAR,
        battery=Battery(
            chemistry=Chemistry.LIFEPO4,
            capacity_wh=400.0,
            nominal_v=12.8,
            health_fraction=1.0,
            charge_fraction=0.9,
            is_tested=Fact.YES,
            low_voltage_disconnect_v=12.0,
            reconnect_v=13.0,
        ),
        panel=Panel(
            stc_w=60.0,
            tilt_deg=60.0,
            azimuth_deg=0.0,
            controller=Controller.MPPT,
            controller_quiescent_w=0.1,
        ),
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        clearness=0.4,
        coldest_c=5.0,
    )


def answered_yes(gate: Gate) -> GateRecord:
    return GateRecord(
        gate=gate,
        answer=Fact.YES,
        evidence="seen",
        answered_by="Duty planner",
        answered_on=date(2031, 5, 25),
        owner="Stores" if gate is Gate.RECOVERY else "",
        due_on=date(2031, 6, 16) if gate is Gate.RECOVERY else None,
    )


def complete_site(site_id: SiteId, lat_deg: float, lon_deg: float, **changes: object) -> Site:
    """A site of which everything is known and good."""
    site = Site(
        site_id=site_id,
        name=f"The {site_id.lower()}",
        function=SiteFunction.RELAY,
        position=Position(lat_deg=lat_deg, lon_deg=lon_deg, source="survey", uncertainty_m=5.0),
        antenna_agl_m=10.0,
        radio=Radio(
            identifier=f"{site_id}-01",
            tx_power_dbm=14.0,
            noise_figure_db=6.0,
            supply_v=3.3,
            receive_a=0.0053,
            transmit_a=0.045,
            host_a=0.001,
        ),
        antenna=Antenna(gain_dbi=2.15),
        surroundings=Surroundings.OPEN,
        feeder=Feeder(length_m=0.0, joints=1),
        power=mains(),
        packets_per_hour=20.0,
        checklist=(
            ChecklistItem(name="Radio", state=ItemState.PACKED, is_critical=True),
            ChecklistItem(name="Spare fuse", quantity=2, state=ItemState.IN_HAND),
            ChecklistItem(name="Connector tape", state=ItemState.IN_HAND),
        ),
        permission=Permission(
            is_granted=Fact.YES,
            is_written=Fact.YES,
            granted_by="Hall committee",
            granted_on=date(2031, 5, 1),
            expires_on=date(2031, 12, 31),
            key_holder="Hall warden",
        ),
        gate_records=tuple(answered_yes(gate) for gate in ASKED),
    )
    return replace(site, **changes)  # type: ignore[arg-type]


def three_sites() -> Plan:
    """Hall and shed with a hill between them; everything known and good over flat ground."""
    return Plan(
        incident=Incident(
            name="Test flood", start_on=date(2031, 6, 1), mission_days=14, time_zone="UTC"
        ),
        radio_profile=RadioProfile(),
        radio_rule=RadioRule(
            name="Test band",
            limit_dbm=27.0,
            limit_kind="ERP",
            duty_fraction=0.1,
            source="invented for the test",
            confidence="invented",
            checked_on=date(2031, 5, 1),
        ),
        sites=(
            complete_site(HALL, -45.00, -30.00, function=SiteFunction.GATEWAY),
            complete_site(HILL, -45.00, -29.98, power=solar()),
            complete_site(SHED, -45.00, -29.96, function=SiteFunction.END_POINT),
        ),
        links=(Link(from_id=HALL, to_id=HILL), Link(from_id=HILL, to_id=SHED)),
        needs=(Need(from_id=SHED, to_id=HALL, priority=1, description="clinic to hall"),),
    )


def hall_to_hill(plan: Plan, terrain: DrawnTerrain | None = None) -> LinkAssessment:
    """The link of hall and hill over a drawn ground."""
    near, far = plan.site(HALL).position, plan.site(HILL).position
    assert near is not None
    assert far is not None
    ends = (near.lat_deg, near.lon_deg, far.lat_deg, far.lon_deg)
    line = inverse(*ends)
    return assess_link(
        plan,
        Link(from_id=HALL, to_id=HILL),
        (terrain or DrawnTerrain()).profile(*ends),
        line.distance_m,
        line.azimuth_deg,
        line.back_azimuth_deg,
    )


READ_THERE = LinkReading(
    talker_id=HALL,
    listener_id=HILL,
    level_dbm=-90.0,
    snr_db=9.0,
    packets_heard=20,
    packets_sent=20,
    read_on=date(2031, 5, 14),
    read_by="Crew 2",
)
"""What a crew read on the hill; READ_BACK is what one read in the hall."""
READ_BACK = replace(READ_THERE, talker_id=HILL, listener_id=HALL)
