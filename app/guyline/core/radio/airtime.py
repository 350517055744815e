"""How long a chirp-spread-spectrum packet occupies the channel."""

from __future__ import annotations

from math import ceil

from guyline.errors import InputError

LOW_DATA_RATE_SYMBOL_S = 0.016
"""Longer symbols need the low-data-rate optimisation.

SX1276/77/78/79 data sheet, section 4.1.1.6: mandated "when the symbol duration exceeds 16 ms".
Other texts write ">= 16 ms"; no bandwidth in use has a symbol of exactly 16 ms.
"""


def symbol_time_s(spreading_factor: int, bandwidth_hz: float) -> float:
    r"""Duration of one chirp, :math:`T_s = 2^{SF} / BW`, in seconds.

    Raises
    ------
    InputError
        Spreading factor outside 6 to 12, or no bandwidth.
    """
    if spreading_factor not in range(6, 13):
        raise InputError(
            f"The spreading factor is {spreading_factor}.", advice="Choose one from 6 to 12."
        )
    if not 0.0 < bandwidth_hz < float("inf"):
        raise InputError(
            f"The bandwidth is {bandwidth_hz} Hz.",
            advice="Enter a bandwidth above zero, in hertz.",
        )
    return float(2**spreading_factor) / bandwidth_hz


def time_on_air_s(
    payload_bytes: int,
    spreading_factor: int,
    bandwidth_hz: float,
    coding_rate: int = 5,
    preamble_symbols: int = 8,
    *,
    explicit_header: bool = True,
    crc: bool = True,
    low_data_rate: bool | None = None,
) -> float:
    r"""Time a packet is on the air, in seconds.

    .. math::

        T = T_s \left(n_{pre} + 4.25 + 8 + \max\left(\left\lceil
            \frac{8 PL - 4 SF + 28 + 16 CRC - 20 IH}{4 (SF - 2 DE)}
            \right\rceil CR, 0\right)\right)

    Parameters
    ----------
    payload_bytes : int
        Payload with the protocol's own header. >= 0
    spreading_factor : int
        6 to 12; with 6 the devices want `explicit_header=False`.
    bandwidth_hz : float
        [Hz]
    coding_rate : int
        Coded bits for four bits of data, 5 to 8 (for 4/5 to 4/8).
    preamble_symbols : int
        Programmed preamble; the device adds 4.25 symbols of its own.
    explicit_header, crc : bool
        Whether the packet carries a header and a checksum.
    low_data_rate : bool, optional
        Low-data-rate optimisation; by the symbol time where left out.

    Raises
    ------
    InputError
        A value outside its range.

    References
    ----------
    .. [1] SX1276/77/78/79 data sheet, sections 4.1.1.6 and 4.1.1.7.
    """
    symbol = symbol_time_s(spreading_factor, bandwidth_hz)
    if coding_rate not in range(5, 9):
        raise InputError(
            f"The coding rate is 4/{coding_rate}.", advice="Choose one from 4/5 to 4/8."
        )
    if payload_bytes < 0 or preamble_symbols < 0:
        raise InputError(
            f"The packet has {payload_bytes} bytes and {preamble_symbols} preamble symbols.",
            advice="Neither can be negative.",
        )
    optimised = symbol > LOW_DATA_RATE_SYMBOL_S if low_data_rate is None else low_data_rate
    bits = 8 * payload_bytes - 4 * spreading_factor + 28 + 16 * crc - 20 * (not explicit_header)
    blocks = ceil(bits / (4 * (spreading_factor - 2 * optimised)))
    return symbol * (preamble_symbols + 4.25 + 8 + max(blocks * coding_rate, 0))
