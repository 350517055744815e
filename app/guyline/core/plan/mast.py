"""What the wind takes hold of at a site, and what holds against it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Mast:
    """A mast with antenna and perhaps panel; None is not known yet.

    `holds_n_m` is the moment at its foot that somebody states it holds, with its guys and
    anchors or its ballast; `gust_m_s` the strongest gust to expect at its top.
    """

    length_m: float | None = None
    diameter_m: float | None = None
    antenna_length_m: float | None = None
    antenna_diameter_m: float | None = None
    panel_agl_m: float | None = None
    """Height of the panel's middle where it hangs on the mast."""
    holds_n_m: float | None = None
    gust_m_s: float | None = None
