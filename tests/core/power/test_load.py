"""Daily draw against worked loads."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.plan import ExtraLoad, Panel, PowerSource, PowerSystem, Radio, Site, SiteId
from guyline.core.power.load import site_load, transmit_share


def relay(receive_a: float, host_a: float, transmit_a: float, packets_per_hour: float) -> Site:
    return Site(
        site_id=SiteId("HILL"),
        radio=Radio(supply_v=3.3, receive_a=receive_a, host_a=host_a, transmit_a=transmit_a),
        packets_per_hour=packets_per_hour,
        power=PowerSystem(
            source=PowerSource.BATTERY, converter_efficiency=0.85, converter_quiescent_w=0.0
        ),
    )


@pytest.mark.parametrize(
    ("receive_a", "host_a", "transmit_a", "packets_per_hour", "wh_per_day"),
    [
        (0.0053, 0.001, 0.120, 36.0, 0.694),  # low-power relay sending 1 %
        (0.011, 0.040, 0.130, 36.0, 4.863),  # relay on a Wi-Fi-class board sending 1 %
        (0.0053, 0.001, 0.120, 360.0, 1.656),  # busy relay sending 10 %
    ],
)
def test_worked_loads(receive_a, host_a, transmit_a, packets_per_hour, wh_per_day):
    # Rederived by hand: I = (1 - d) I_rx + d I_tx + I_host at 3.3 V, converter 0.85, 1 s packets.
    load = site_load(relay(receive_a, host_a, transmit_a, packets_per_hour), time_on_air_s=1.0)
    assert load.total_wh_per_day == pytest.approx(wh_per_day, abs=6e-4)


def test_averaging_of_a_duty_cycle():
    # Worked example: swfltek.com solar Arduino: 3 mA for 298 s, 10 mA and 200 mA for 1 s each
    # in 300 s: 3.68 mA. Receiving 3 mA, sending 200 mA; 10 mA for 1 s is a load beside them.
    site = relay(0.003, 0.0, 0.200, 12.0)
    site = replace(
        site,
        radio=replace(site.radio, supply_v=1.0, receive_a=(3.0 * 298 + 10.0) / 299 / 1000.0),
        power=replace(site.power, converter_efficiency=1.0),
    )
    load = site_load(site, time_on_air_s=1.0)
    assert load.total_wh_per_day / 24.0 * 1000.0 == pytest.approx(3.68, abs=0.005)


def test_computer_worked_example():
    # Worked example: firstgreen.co: 15 W x 20 h = 300 Wh/day.
    site = relay(0.0, 0.0, 0.0, 0.0)
    extra = ExtraLoad(name="computer", power_w=15.0, hours_per_day=20.0)
    load = site_load(
        replace(site, power=replace(site.power, extra_loads=(extra,))), time_on_air_s=1.0
    )
    assert load.total_wh_per_day == pytest.approx(300.0)


def test_a_controllers_own_draw_is_a_line_and_can_be_the_largest():
    # Rederived: low-power relay behind a controller of 8 mA at 12 V: 0.69 + 2.30 = 3.0 Wh/day.
    site = relay(0.0053, 0.001, 0.120, 36.0)
    panel = Panel(stc_w=10.0, controller_quiescent_w=0.008 * 12.0)
    power = replace(site.power, source=PowerSource.SOLAR, panel=panel)
    load = site_load(replace(site, power=power), time_on_air_s=1.0)
    largest = max(load.lines, key=lambda line: line.energy_wh_per_day)
    assert largest.name == "quiescent draw of the controller"
    assert largest.energy_wh_per_day == pytest.approx(2.30, abs=0.005)
    assert load.total_wh_per_day == pytest.approx(3.0, abs=0.01)


def test_what_is_missing_is_named_and_the_total_unknown():
    site = relay(0.0053, 0.001, 0.120, 36.0)
    power = PowerSystem(source=PowerSource.SOLAR, extra_loads=(ExtraLoad(name="camera"),))
    load = site_load(
        replace(site, radio=Radio(), power=power, packets_per_hour=None), time_on_air_s=None
    )
    assert load.total_wh_per_day is None
    assert set(load.missing) == {
        "supply voltage of the radio",
        "receive current",
        "transmit current",
        "current of the radio's host",
        "converter efficiency",
        "packets per hour",
        "time on air",
        "quiescent draw of the converter",
        "quiescent draw of the controller",
        "power of camera",
    }


@pytest.mark.parametrize("field", ["supply_v", "receive_a", "transmit_a", "host_a"])
def test_one_missing_current_makes_the_load_unknown(field):
    site = relay(0.0053, 0.001, 0.120, 36.0)
    load = site_load(replace(site, radio=replace(site.radio, **{field: None})), 1.0)
    assert load.total_wh_per_day is None
    assert len(load.missing) == 1


def test_a_radio_cannot_send_more_than_all_the_time():
    assert transmit_share(1e6, 1.0) == 1.0


@given(st.floats(0, 500), st.floats(0, 500), st.floats(0.01, 5.0))
def test_more_packets_never_cost_less(packets, more, on_air_s):
    few = site_load(relay(0.005, 0.001, 0.12, packets), on_air_s).total_wh_per_day
    many = site_load(relay(0.005, 0.001, 0.12, packets + more), on_air_s).total_wh_per_day
    assert few is not None
    assert many is not None
    assert many >= few - 1e-12
