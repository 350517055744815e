"""Time on air against printed values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from guyline.core.radio.airtime import symbol_time_s, time_on_air_s
from guyline.errors import InputError

SIZES = (10, 20, 50, 100)

# Rederived from the SX1276/77/78/79 data sheet, sections 4.1.1.6 and 4.1.1.7, printed to 0.1 ms:
# kHz, spreading factor, symbol [ms], bit rate, time on air [ms] of 10, 20, 50, 100 bytes.
TIMES = """
62.5  7  2.048 2734 82.4 113.2 195.1 348.7
62.5  8  4.096 1562 144.4 205.8 349.2 615.4
62.5  9  8.192 879 288.8 370.7 657.4 1108.0
62.5 10 16.384 488 577.5 823.3 1396.7 2461.7
62.5 11 32.768 269 1155.1 1482.8 2629.6 4431.9
62.5 12 65.536 146 1982.5 2637.8 4603.9 7880.7
125   7  1.024 5469 41.2 56.6 97.5 174.3
125   8  2.048 3125 72.2 102.9 174.6 307.7
125   9  4.096 1758 144.4 185.3 328.7 554.0
125  10  8.192 977 288.8 370.7 616.4 1026.0
125  11 16.384 537 577.5 741.4 1314.8 2215.9
125  12 32.768 293 991.2 1318.9 2302.0 3940.4
250   7  0.512 10938 20.6 28.3 48.8 87.2
250  10  4.096 1953 144.4 185.3 308.2 513.0
250  11  8.192 1074 247.8 329.7 575.5 944.1
250  12 16.384 586 495.6 659.5 1151.0 1970.2
500   7  0.256 21875 10.3 14.1 24.4 43.6
500  12  8.192 1172 247.8 329.7 534.5 862.2
""".strip().splitlines()


@pytest.mark.parametrize("line", TIMES)
def test_times_are_the_printed_ones(line):
    khz, factor, symbol_ms, rate, *on_air_ms = map(float, line.split())
    assert symbol_time_s(int(factor), khz * 1e3) * 1e3 == pytest.approx(symbol_ms, abs=1e-9)
    # Rb = SF / Ts * 4 / CR of the same table
    assert factor / symbol_time_s(int(factor), khz * 1e3) * 0.8 == pytest.approx(rate, abs=0.51)
    for size, expected_ms in zip(SIZES, on_air_ms, strict=True):
        got_ms = time_on_air_s(size, int(factor), khz * 1e3) * 1e3
        assert got_ms == pytest.approx(expected_ms, abs=0.051)


@pytest.mark.parametrize(
    ("payload", "factor", "khz", "ms"),
    [
        (13, 9, 125, 164.864),  # worked example: public spreadsheet after AN1200.13
        (12, 9, 125, 144.384),  # independent implementation: crate lora-modulation, its documents
        (20, 12, 125, 1318.91),  # rederived, printed to 0.01 ms
        (200, 11, 250, 1681.41),  # rederived, printed to 0.01 ms
    ],
)
def test_known_packets_take_their_time(payload, factor, khz, ms):
    assert time_on_air_s(payload, factor, khz * 1e3) * 1e3 == pytest.approx(ms, abs=0.0051)


def test_low_data_rate_optimisation_sets_in_above_16_ms():
    # Data sheet: "when the symbol duration exceeds 16 ms"; 2^11 / 128 kHz is exactly 16 ms.
    exactly, beyond = 128_000.0, 127_999.0
    for bandwidth_hz, is_optimised in ((exactly, False), (beyond, True)):
        automatic = time_on_air_s(50, 11, bandwidth_hz)
        assert automatic == time_on_air_s(50, 11, bandwidth_hz, low_data_rate=is_optimised)
        assert automatic != time_on_air_s(50, 11, bandwidth_hz, low_data_rate=not is_optimised)


def test_header_and_checksum_cost_their_symbols():
    # Rederived: 8*13 - 36 + 28 + 16 = 112 bits -> ceil(112/36) = 4 blocks; without header and
    # checksum 76 bits -> 3 blocks; one block of 5 symbols of 4.096 ms less.
    full = time_on_air_s(13, 9, 125e3)
    bare = time_on_air_s(13, 9, 125e3, explicit_header=False, crc=False)
    assert full - bare == pytest.approx(5 * 4.096e-3)


@given(st.integers(0, 254), st.integers(7, 12), st.sampled_from([62.5e3, 125e3, 250e3, 500e3]))
def test_more_bytes_or_a_longer_code_never_take_less(payload, factor, bandwidth_hz):
    time = time_on_air_s(payload, factor, bandwidth_hz)
    assert time_on_air_s(payload + 1, factor, bandwidth_hz) >= time
    assert time_on_air_s(payload, factor, bandwidth_hz, coding_rate=8) >= time
    assert time_on_air_s(payload, factor, bandwidth_hz, preamble_symbols=9) > time


@pytest.mark.parametrize(
    "wrong",
    [
        {"spreading_factor": 13},
        {"bandwidth_hz": 0.0},
        {"bandwidth_hz": float("nan")},
        {"coding_rate": 4},
        {"payload_bytes": -1},
        {"preamble_symbols": -1},
    ],
)
def test_a_packet_that_cannot_be_is_refused(wrong):
    packet = {"payload_bytes": 20, "spreading_factor": 10, "bandwidth_hz": 125e3} | wrong
    with pytest.raises(InputError):
        time_on_air_s(**packet)
