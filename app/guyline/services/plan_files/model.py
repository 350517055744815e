"""The plan file as pydantic sees it: the core values themselves, strictly read.

Pydantic reads the frozen dataclasses of `guyline.core.plan` directly, and they take over the
configuration of the model that holds them, so no field is written twice.
"""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from guyline.core.plan import Plan


class PlanFile(BaseModel):
    """A plan of a temporary off-grid radio network, as Guyline keeps it."""

    model_config = ConfigDict(
        strict=True,
        extra="forbid",
        allow_inf_nan=False,
        use_attribute_docstrings=True,
        defer_build=True,  # a start must not wait for it
    )

    format: Literal[1]
    """Number of the file format; a program refuses one that is newer than its own."""
    plan: Plan
