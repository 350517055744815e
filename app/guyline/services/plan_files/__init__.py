"""The plan file: indented JSON, strictly read, written whole."""

from guyline.services.plan_files.format import FORMAT, SUFFIX
from guyline.services.plan_files.reading import load_plan, plan_from_bytes
from guyline.services.plan_files.schema import plan_schema
from guyline.services.plan_files.writing import plan_digest, plan_to_bytes, save_plan

__all__ = [
    "FORMAT",
    "SUFFIX",
    "load_plan",
    "plan_digest",
    "plan_from_bytes",
    "plan_schema",
    "plan_to_bytes",
    "save_plan",
]
