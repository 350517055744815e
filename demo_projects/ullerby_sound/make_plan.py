"""Makes ullerby_sound.plan.json: a winter storm on the coast of Ullerby Sound.

The place, the people and the telephone numbers are invented; the equipment is what the
catalogue calls it. The sites are chosen so that each shows something a planner meets: ground
in the way, a battery that does not last, an owner who has not answered, a form half filled.

    python demo_projects/ullerby_sound/make_plan.py
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from pyproj import Transformer

from guyline.core.plan import (
    Antenna,
    Battery,
    ChecklistItem,
    Chemistry,
    Contact,
    Controller,
    Fact,
    Feeder,
    Gate,
    GateRecord,
    Hazard,
    Incident,
    ItemState,
    Link,
    Mast,
    Need,
    Panel,
    Pattern,
    Permission,
    Place,
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
    StockItem,
    Surroundings,
    TerrainSource,
)
from guyline.services.plan_files import SUFFIX, save_plan

HERE = Path(__file__).resolve().parent
WEST_M, NORTH_M = 488_000.0, 4_906_000.0  # corner of terrain.tif, UTM zone 9 South
TO_DEGREES = Transformer.from_crs("EPSG:32709", "EPSG:4326", always_xy=True)

INCIDENT = Incident(
    name="Ullerby winter storm (exercise)",
    area="Ullerby Sound and the Ostrel shore",
    start_on=date(2027, 5, 15),
    mission_days=28,
    time_zone="Etc/GMT+9",
    planner="Duty planner",
    planner_phone="000-0100",
    net_control="Net control, Ullerby town hall",
    emergency_phone="000-0199",
)
RADIO_PROFILE = RadioProfile(
    frequency_hz=869_525_000.0,
    bandwidth_hz=125_000.0,
    spreading_factor=10,
    coding_rate=5,
    preamble_symbols=8,
    required_margin_db=10.0,
    channel_name="Sound one",
    key_identifier="K-07",
    hop_limit=4,
)
RADIO_RULE = RadioRule(
    name="869.4 to 869.65 MHz, 500 mW ERP (exercise papers)",
    limit_dbm=26.99,
    limit_kind="ERP",
    duty_fraction=0.1,
    source="exercise papers of this invented place; no real rule applies here",
    confidence="invented",
    checked_on=date(2027, 4, 20),
    low_hz=869_400_000.0,
    high_hz=869_650_000.0,
)
TERRAIN = TerrainSource(
    path="terrain.tif",
    description="Invented ground of Ullerby Sound, 30 m cells",
    vertical_datum="invented, sea at 0 m",
    includes_trees=Fact.NO,
    height_sd_m=1.0,
    licence="part of the demonstration, free to use",
)

# Radios, cables and their figures as in the catalogue tables of resources/.
RELAY = Radio(
    catalogue_key="relay-low-power",
    tx_power_dbm=22.0,
    noise_figure_db=6.0,
    supply_v=3.3,
    receive_a=0.0053,
    transmit_a=0.120,
    host_a=0.001,
    port="SMA jack",
    source="catalogue: maker's data sheet of the class, transmit current from memory",
)
POCKET = Radio(
    catalogue_key="pocket-14dbm",
    tx_power_dbm=14.0,
    noise_figure_db=6.0,
    supply_v=3.3,
    receive_a=0.0053,
    transmit_a=0.045,
    host_a=0.001,
    port="SMA jack",
    source="catalogue: maker's data sheet of the class, transmit current from memory",
)
DESK = Radio(
    catalogue_key="board-wifi-class-new",
    tx_power_dbm=22.0,
    noise_figure_db=6.0,
    supply_v=3.3,
    receive_a=0.0053,
    transmit_a=0.118,
    host_a=0.040,
    port="SMA jack",
    source="catalogue: maker's data sheet of the class, transmit current and host from memory",
)
GATEWAY = Radio(
    catalogue_key="gateway-single-channel",
    tx_power_dbm=22.0,
    noise_figure_db=6.0,
    supply_v=5.0,
    receive_a=0.0053,
    transmit_a=0.080,
    host_a=0.110,
    source="catalogue: published idle power of the board class",
)
OMNI_5 = Antenna(
    catalogue_key="omni-5",
    pattern=Pattern.OMNI,
    gain_dbi=5.0,
    low_hz=860_000_000.0,
    high_hz=930_000_000.0,
    port="N jack",
    source="catalogue: label",
)
OMNI_10 = replace(OMNI_5, catalogue_key="omni-10", gain_dbi=10.0)
OMNI_3 = replace(OMNI_5, catalogue_key="omni-3", gain_dbi=3.0)
DIPOLE = replace(
    OMNI_5,
    catalogue_key="dipole",
    pattern=Pattern.DIPOLE,
    gain_dbi=2.15,
    port="N plug",
    source="exact: half-wave dipole",
)


def foam_6mm(length_m: float, *, has_arrestor: bool = False) -> Feeder:
    return Feeder(
        catalogue_key="foam-6mm",
        length_m=length_m,
        k1_db_per_100ft=0.24208,
        k2_db_per_100ft=0.00033,
        joints=4 if has_arrestor else 2,
        has_arrestor=has_arrestor,
        near_port="SMA plug",
        far_port="N plug",
        source="catalogue: maker's published loss formula",
    )


def lifepo4(capacity_wh: float, *, is_tested: Fact = Fact.YES) -> Battery:
    return Battery(
        chemistry=Chemistry.LIFEPO4,
        capacity_wh=capacity_wh,
        nominal_v=12.8,
        health_fraction=0.95 if is_tested is Fact.YES else None,
        charge_fraction=1.0,
        is_tested=is_tested,
        low_voltage_disconnect_v=12.0,
        reconnect_v=13.0,
    )


def solar(panel_w: float, battery: Battery, *, coldest_c: float) -> PowerSystem:
    return PowerSystem(
        source=PowerSource.SOLAR,
        battery=battery,
        panel=Panel(
            stc_w=panel_w,
            tilt_deg=61.0,
            azimuth_deg=0.0,  # the sun stands in the north here
            controller=Controller.MPPT,
            controller_quiescent_w=0.24,
        ),
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        clearness=0.36,
        coldest_c=coldest_c,
    )


def mains_with_backup(battery: Battery, hours: float) -> PowerSystem:
    return PowerSystem(
        source=PowerSource.MAINS_WITH_BACKUP,
        battery=battery,
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        coldest_c=8.0,
        mains_is_unswitched=Fact.YES,
        mains_has_rcd=Fact.YES,
        backup_hours_needed=hours,
    )


def place(east_km: float, south_km: float, uncertainty_m: float = 5.0) -> Position:
    """Return a place counted from the north-west corner of the terrain."""
    lon, lat = TO_DEGREES.transform(WEST_M + 1000.0 * east_km, NORTH_M - 1000.0 * south_km)
    return Position(
        lat_deg=round(lat, 6),
        lon_deg=round(lon, 6),
        source="satellite receiver at the mast, averaged for 10 minutes",
        uncertainty_m=uncertainty_m,
    )


def written(by: str, key_holder: str, expires_on: date = date(2027, 8, 31)) -> Permission:
    return Permission(
        is_granted=Fact.YES,
        is_written=Fact.YES,
        granted_by=by,
        granted_on=date(2027, 4, 28),
        expires_on=expires_on,
        key_holder=key_holder,
    )


MASS_KG = {  # as in the catalogue of kits; a panel's and a weighed box from the store
    "Radio, configured and bench-tested with its antenna": 0.3,
    "Antenna for the band": 0.4,
    "Feeder with the right connectors": 0.8,
    "Mount with clamps and U-bolts": 1.5,
    "Mast with guys and anchors": 9.0,
    "Weatherproof box, glands down": 2.5,
    "Battery fuse": 0.02,
    "Solar panel with tilting mount": 8.0,
    "Charge controller": 0.4,
    "DC cable, polarity marked": 0.6,
    "Lightning arrestor with earth lead": 0.6,
    "Spare battery fuses": 0.01,
    "Desiccant, 10 g": 0.01,
    "Connector tape: PVC, self-amalgamating, UV-proof PVC": 0.3,
    "Multimeter": 0.4,
    "Power adapter": 0.5,
    "Power adapter or charger": 0.5,
    "Label on the plug: do not unplug": 0.01,
    "Network cable": 0.3,
}


def kit(
    *items: str, lacking: tuple[str, ...] = (), small: tuple[str, ...] = ()
) -> tuple[ChecklistItem, ...]:
    """Return a checklist: `items` without which the site cannot work, then the `small` ones."""
    common = ("Connector tape: PVC, self-amalgamating, UV-proof PVC", "Multimeter", *small)
    return tuple(
        ChecklistItem(
            name=name,
            quantity=2 if name == "Spare battery fuses" else 1,
            mass_kg=MASS_KG.get(name),
            state=ItemState.NEEDED if name in lacking else ItemState.PACKED,
            is_critical=name in items,
        )
        for name in (*items, *common)
    )


RADIO_KIT = (
    "Radio, configured and bench-tested with its antenna",
    "Antenna for the band",
    "Feeder with the right connectors",
    "Mount with clamps and U-bolts",
)
SOLAR_KIT = (
    *RADIO_KIT,
    "Mast with guys and anchors",
    "Weatherproof box, glands down",
    "Battery, charged and tested",
    "Battery fuse",
    "Solar panel with tilting mount",
    "Charge controller",
    "DC cable, polarity marked",
)
SOLAR_SMALL = ("Lightning arrestor with earth lead", "Spare battery fuses", "Desiccant, 10 g")
BACKUP_KIT = (
    *RADIO_KIT,
    "Power adapter or charger",
    "Backup battery on the DC side",
    "Battery fuse",
)
MAINS_SMALL = ("Label on the plug: do not unplug", "Spare battery fuses")

TOWN = Site(
    site_id=SiteId("TOWN"),
    name="Ullerby town hall",
    function=SiteFunction.END_POINT,
    position=place(13.20, 9.60),
    antenna_agl_m=12.0,
    radio=replace(DESK, identifier="U-01"),
    antenna=OMNI_3,
    feeder=foam_6mm(8.0),
    power=mains_with_backup(lifepo4(256.0), hours=72.0),
    packets_per_hour=20.0,
    checklist=kit(*BACKUP_KIT, small=MAINS_SMALL),
    permission=written("Town clerk", "Hall caretaker"),
    contacts=(Contact(name="Hall caretaker", role="keys, day and night", phone="000-0101"),),
    hazards=frozenset({Hazard.MAINS, Hazard.HEIGHT}),
    access="Yard behind the hall, gate on the left. Inside stair to the roof hatch.",
    nearest_hospital="Ullerby clinic, 5 minutes by road",
    notes="Antenna on the old flag pole; the pole was looked at and stands firm.",
)
PORT = Site(
    site_id=SiteId("PORT"),
    name="Harbour office",
    function=SiteFunction.GATEWAY,
    position=place(13.55, 10.30),
    flood_amsl_m=4.0,
    antenna_agl_m=10.0,
    radio=replace(GATEWAY, identifier="U-02"),
    antenna=OMNI_3,
    feeder=foam_6mm(6.0),
    power=mains_with_backup(lifepo4(640.0), hours=96.0),
    packets_per_hour=60.0,
    checklist=kit(
        *BACKUP_KIT, "Link to the outside: satellite modem", "Network cable", small=MAINS_SMALL
    ),
    permission=written("Harbour board", "Harbour watch"),
    contacts=(Contact(name="Harbour watch", role="on duty at all hours", phone="000-0102"),),
    hazards=frozenset({Hazard.MAINS, Hazard.FLOOD_WATER}),
    access="Quay road, second building. Park above the tide mark.",
    nearest_hospital="Ullerby clinic, 8 minutes by road",
    notes="The satellite modem stands on the sill of the north window.",
)
HOB = Site(
    site_id=SiteId("HOB"),
    name="Hob Top relay",
    function=SiteFunction.RELAY,
    position=place(8.82, 9.18),
    antenna_agl_m=6.0,
    radio=replace(RELAY, identifier="U-03"),
    antenna=OMNI_5,
    feeder=foam_6mm(2.0, has_arrestor=True),
    power=solar(50.0, lifepo4(640.0), coldest_c=1.0),
    mast=Mast(
        length_m=6.0,
        diameter_m=0.04,
        antenna_length_m=0.6,
        antenna_diameter_m=0.025,
        holds_n_m=1_500.0,
        gust_m_s=45.0,
    ),
    packets_per_hour=90.0,
    checklist=kit(*SOLAR_KIT, small=SOLAR_SMALL),
    permission=written("Grazing company", "Hill shepherd"),
    contacts=(Contact(name="Hill shepherd", role="gate and dogs", phone="000-0103"),),
    hazards=frozenset({Hazard.LIGHTNING, Hazard.LONG_WALK, Hazard.LIVESTOCK}),
    access="Track from the west road to the sheepfold, then 50 minutes on foot along the wall.",
    nearest_hospital="Ullerby clinic, 90 minutes with the walk",
    notes="The battery box stands inside the stone hut, which keeps the frost out.",
)
KITE = Site(
    site_id=SiteId("KITE"),
    name="Kite Rigg relay",
    function=SiteFunction.RELAY,
    position=place(17.55, 7.75),
    antenna_agl_m=6.0,
    radio=replace(RELAY, identifier="U-04", tx_power_dbm=19.0),  # for the long antenna
    antenna=OMNI_10,
    feeder=foam_6mm(2.0, has_arrestor=True),
    power=solar(50.0, lifepo4(640.0), coldest_c=-4.0),
    packets_per_hour=120.0,
    checklist=kit(*SOLAR_KIT, small=SOLAR_SMALL, lacking=("Lightning arrestor with earth lead",)),
    permission=replace(written("Forest office", "Forest ranger"), is_written=Fact.NO),
    contacts=(Contact(name="Forest ranger", role="barrier key", phone="000-0104"),),
    hazards=frozenset({Hazard.LIGHTNING, Hazard.LONG_WALK, Hazard.STORM_DEBRIS}),
    access="Forest road to the barrier, 4x4 to the saddle, then 35 minutes on foot north.",
    nearest_hospital="Ullerby clinic, 2 hours with the walk",
    notes="The ranger said yes on the telephone; the letter is promised. The long antenna was"
    " what the store had.",
)
CRANE = Site(
    site_id=SiteId("CRANE"),
    name="Crane Law relay",
    function=SiteFunction.RELAY,
    position=place(19.45, 11.25),
    antenna_agl_m=6.0,
    radio=replace(RELAY, identifier="U-05"),
    antenna=OMNI_5,
    feeder=foam_6mm(2.0, has_arrestor=True),
    power=solar(50.0, lifepo4(640.0), coldest_c=-5.0),
    packets_per_hour=60.0,
    checklist=kit(*SOLAR_KIT, small=SOLAR_SMALL),
    permission=Permission(granted_by="", key_holder=""),
    contacts=(Contact(name="Estate agent", role="asked twice, no answer", phone="000-0105"),),
    hazards=frozenset({Hazard.LIGHTNING, Hazard.LONG_WALK, Hazard.OTHER_MAST}),
    access="Private track from the south, locked. Two hours on foot from the coast road.",
    nearest_hospital="Ullerby clinic, 3 hours with the walk",
    notes="Would see the southern shore and further into the valley of Hollowmead.",
)
SHALE = Site(
    site_id=SiteId("SHALE"),
    name="Shale Crown relay",
    function=SiteFunction.RELAY,
    position=place(10.62, 4.38),
    antenna_agl_m=6.0,
    radio=replace(RELAY, identifier="U-06"),
    antenna=OMNI_5,
    feeder=foam_6mm(2.0, has_arrestor=True),
    power=solar(50.0, lifepo4(640.0, is_tested=Fact.UNKNOWN), coldest_c=-3.0),
    packets_per_hour=60.0,
    checklist=kit(*SOLAR_KIT, small=SOLAR_SMALL),
    permission=written("Quarry company", "Quarry foreman", expires_on=date(2027, 5, 31)),
    contacts=(Contact(name="Quarry foreman", role="gate, blasting times", phone="000-0106"),),
    hazards=frozenset({Hazard.LIGHTNING, Hazard.LONG_WALK}),
    access="Quarry gate, report at the hut. Haul road to the top bench, then 15 minutes on foot.",
    nearest_hospital="Ullerby clinic, 70 minutes with the walk",
)
DUNMARL = Site(
    site_id=SiteId("DUNMARL"),
    name="Dunmarl village hall",
    function=SiteFunction.END_POINT,
    position=place(3.20, 9.40),
    antenna_agl_m=7.0,
    radio=replace(DESK, identifier="U-07"),
    antenna=OMNI_3,
    feeder=foam_6mm(5.0),
    power=PowerSystem(
        source=PowerSource.MAINS,
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        coldest_c=5.0,
        mains_is_unswitched=Fact.YES,
        mains_has_rcd=Fact.NO,
    ),
    packets_per_hour=10.0,
    checklist=kit(*RADIO_KIT, "Power adapter", small=("Label on the plug: do not unplug",)),
    permission=written("Hall committee", "Shop across the road"),
    contacts=(Contact(name="Shop keeper", role="holds the hall key", phone="000-0107"),),
    hazards=frozenset({Hazard.MAINS}),
    access="Main street, hall beside the pump. Parking in front.",
    nearest_hospital="Ullerby clinic, 25 minutes by road",
)
SKARN = Site(
    site_id=SiteId("SKARN"),
    name="Skarn Bay first-aid post",
    function=SiteFunction.END_POINT,
    position=place(22.00, 9.50),
    antenna_agl_m=5.0,
    radio=replace(DESK, identifier="U-08"),
    antenna=OMNI_3,
    feeder=replace(foam_6mm(3.0), far_port="N jack"),
    power=solar(5.0, lifepo4(76.8), coldest_c=0.0),
    packets_per_hour=12.0,
    checklist=kit(*SOLAR_KIT, small=SOLAR_SMALL),
    permission=written("First-aid society", "Nurse on call"),
    contacts=(Contact(name="Nurse on call", role="at the post by day", phone="000-0108"),),
    hazards=frozenset({Hazard.FLOOD_WATER}),
    access="Coast road to its end, then the sea wall; not at high water.",
    nearest_hospital="Ullerby clinic, by boat only while the road is cut",
    notes="The panel is what was in the store: see whether it is enough. Antenna and cable both"
    " end in a jack.",
)
HOLLOW = Site(
    site_id=SiteId("HOLLOW"),
    name="Hollowmead school",
    function=SiteFunction.END_POINT,
    position=place(16.60, 12.60),
    antenna_agl_m=6.0,
    radio=replace(POCKET, identifier="U-09"),
    antenna=DIPOLE,
    feeder=replace(foam_6mm(4.0), far_port="N jack"),
    power=mains_with_backup(lifepo4(153.6), hours=48.0),
    packets_per_hour=10.0,
    checklist=kit(*BACKUP_KIT, small=MAINS_SMALL),
    permission=written("School board", "Teacher in the school house"),
    contacts=(Contact(name="Teacher", role="school house next door", phone="000-0109"),),
    hazards=frozenset({Hazard.MAINS, Hazard.POWER_LINES}),
    access="Valley road, school on the right after the second ford.",
    nearest_hospital="Ullerby clinic, by boat from the landing, 1 hour",
    notes="Shelter for 60 people. The spur to the north-east stands in the way.",
)
LANDING = Site(
    site_id=SiteId("LANDING"),
    name="South landing",
    function=SiteFunction.END_POINT,
    position=place(16.60, 15.80, uncertainty_m=15.0),
    antenna_agl_m=8.0,
    radio=replace(POCKET, identifier="U-10"),
    antenna=DIPOLE,
    feeder=replace(foam_6mm(6.0), far_port="N jack"),
    power=PowerSystem(
        source=PowerSource.BATTERY,
        battery=lifepo4(76.8),
        converter_efficiency=0.85,
        converter_quiescent_w=0.05,
        coldest_c=0.0,
        battery_swap_days=7.0,
    ),
    packets_per_hour=6.0,
    checklist=kit(
        *RADIO_KIT,
        "Battery, charged and tested",
        "Battery fuse",
        small=("Second battery", "Spare battery fuses"),
    ),
    permission=written("Ferry company", "Ferry mate"),
    contacts=(Contact(name="Ferry mate", role="swaps the battery weekly", phone="000-0110"),),
    hazards=frozenset({Hazard.FLOOD_WATER, Hazard.STORM_DEBRIS}),
    access="From the water: pontoon. By land: shore path, 20 minutes.",
    nearest_hospital="Ullerby clinic, by boat, 50 minutes",
)
STELL = Site(
    site_id=SiteId("STELL"),
    name="Stell Haven store",
    function=SiteFunction.END_POINT,
    position=place(10.00, 2.40, uncertainty_m=40.0),
    radio=replace(DESK, identifier="U-11"),
    antenna=OMNI_3,
    power=PowerSystem(source=PowerSource.UNKNOWN),
    permission=Permission(is_granted=Fact.YES, granted_by="Store keeper"),
    contacts=(Contact(name="Store keeper", role="owner", phone="000-0111"),),
    access="Not visited yet.",
    notes="Taken over the telephone. To ask: where does the antenna go, is there mains?",
)

LINKS = (
    ("TOWN", "HOB"),
    ("TOWN", "KITE"),
    ("PORT", "HOB"),
    ("PORT", "KITE"),
    ("HOB", "KITE"),
    ("HOB", "SHALE"),
    ("HOB", "DUNMARL"),
    ("KITE", "CRANE"),
    ("KITE", "SKARN"),
    ("KITE", "HOLLOW"),
    ("KITE", "LANDING"),
    ("CRANE", "LANDING"),
    ("SHALE", "STELL"),
)
NEEDS = (
    ("TOWN", "PORT", 1, "Situation reports to the outside", 10.0),
    ("DUNMARL", "TOWN", 1, "Shelter list twice a day", 4.0),
    ("SKARN", "TOWN", 1, "Casualties and medicine", 5.0),
    ("HOLLOW", "TOWN", 1, "Shelter of 60 people", 4.0),
    ("LANDING", "PORT", 2, "Ferry and supplies", 3.0),
    ("STELL", "TOWN", 3, "Stock of the store", 2.0),
)


ANSWERS = {
    Gate.NEED: "asked again at the evening briefing",
    Gate.SAFETY: "crew of two named, weather and stop limits agreed",
    Gate.BENCH_TEST: "settings read back, 24 hours on the bench",
    Gate.RECOVERY: "date and crew in the recovery list",
}
AROUND = {
    TOWN.site_id: Surroundings.SUBURB,
    PORT.site_id: Surroundings.SUBURB,
    DUNMARL.site_id: Surroundings.OPEN,
    SKARN.site_id: Surroundings.OPEN,
    HOLLOW.site_id: Surroundings.OPEN,
    LANDING.site_id: Surroundings.WATER,
}
OWNERS = {  # who mends what is still open, and by when
    Gate.PERMISSION: ("Access lead", date(2027, 5, 13)),
    Gate.RADIO: ("Radio lead", date(2027, 5, 15)),
    Gate.POWER: ("Power lead", date(2027, 5, 14)),
    Gate.KIT: ("Stores", date(2027, 5, 13)),
}


def answered(site: Site) -> Site:
    """The site with what the leads answered and took charge of; one was forgotten."""
    if site is STELL:
        return site
    asked = tuple(
        GateRecord(
            gate=gate,
            answer=Fact.YES,
            evidence=evidence,
            answered_by="Duty planner",
            answered_on=date(2027, 5, 8),
            owner="Stores" if gate is Gate.RECOVERY else "",
            due_on=date(2027, 6, 14) if gate is Gate.RECOVERY else None,
        )
        for gate, evidence in ANSWERS.items()
    )
    surroundings = AROUND.get(site.site_id, Surroundings.BARE)
    owned = tuple(
        GateRecord(gate=gate, owner=owner, due_on=due_on)
        for gate, (owner, due_on) in OWNERS.items()
    )
    return replace(site, surroundings=surroundings, gate_records=asked + owned)


PLACES = (  # where people with a pocket radio need service: name, km east, km south, people
    ("Ullerby town", 13.1, 9.5, 2400),
    ("Dunmarl", 3.4, 9.3, 220),
    ("Skarn Bay", 21.9, 9.4, 140),
    ("Hollowmead", 16.6, 12.5, 310),
    ("South landing", 16.4, 15.6, 40),
    ("Stell Haven", 10.0, 2.4, 90),
    ("Ostrel farms", 18.6, 5.4, 35),
)


def served_place(name: str, east_km: float, south_km: float, people: int) -> Place:
    where = place(east_km, south_km)
    return Place(name=name, lat_deg=where.lat_deg, lon_deg=where.lon_deg, people=people)


def store(sites: tuple[Site, ...]) -> tuple[StockItem, ...]:
    """The store of the county: a radio for each site and one over, and what was weighed."""
    radios = tuple(
        StockItem(
            name="Radio",
            serial=f"UC-{301 + n}",
            owner="County stores",
            assigned_to=site.site_id,
            mass_kg=0.3,
        )
        for n, site in enumerate(sites)
    )
    spare = StockItem(name="Radio", serial="UC-330", owner="Radio club", mass_kg=0.3)
    arrestors = StockItem(name="Lightning arrestor with earth lead", quantity=5, mass_kg=0.6)
    return (*radios, spare, arrestors)


def plan() -> Plan:
    sites = (TOWN, PORT, HOB, KITE, CRANE, SHALE, DUNMARL, SKARN, HOLLOW, LANDING, STELL)
    return Plan(
        incident=INCIDENT,
        radio_profile=RADIO_PROFILE,
        radio_rule=RADIO_RULE,
        sites=tuple(answered(site) for site in sites),
        links=tuple(Link(from_id=SiteId(a), to_id=SiteId(b)) for a, b in LINKS),
        needs=tuple(
            Need(
                from_id=SiteId(a),
                to_id=SiteId(b),
                priority=urgency,
                description=what,
                packets_per_hour=packets,
            )
            for a, b, urgency, what, packets in NEEDS
        ),
        places=tuple(served_place(*row) for row in PLACES),
        terrain_sources=(TERRAIN,),
        stock=store(sites),
    )


def main() -> None:
    save_plan(plan(), HERE / f"ullerby_sound{SUFFIX}")


if __name__ == "__main__":
    main()
