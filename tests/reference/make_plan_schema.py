"""Writes resources/plan.schema.json from the plan values; run it after a field was added."""

from __future__ import annotations

import json
from pathlib import Path

from guyline.services.plan_files import plan_schema

TARGET = Path(__file__).parents[2] / "resources" / "plan.schema.json"

if __name__ == "__main__":
    text = json.dumps(plan_schema(), indent=2, ensure_ascii=False)
    TARGET.write_text(text + "\n", encoding="utf-8")
