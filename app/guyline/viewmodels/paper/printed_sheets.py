"""Remembers what was last put on paper, so that only changed sheets need be printed again."""

from __future__ import annotations

import json
from collections.abc import Mapping

from guyline.viewmodels.settings import PRINTED, Settings

MOST_PLANS = 20  # our choice: a volunteer's file of settings stays small

Digests = dict[str, str]


class PrintedSheets:
    """Digests of the documents of each plan as they were last printed or exported."""

    def __init__(self, settings: Settings) -> None:
        self._settings = settings

    def of(self, plan_name: str) -> Digests:
        """Digest by document of what was printed of a plan; {} where nothing was."""
        return self._read().get(plan_name, {})

    def remember(self, plan_name: str, digests: Mapping[str, str]) -> None:
        """Note documents that were printed just now; others stay as they were."""
        known = self._read()
        merged = {**known.pop(plan_name, {}), **digests}
        kept = dict(list(known.items())[-(MOST_PLANS - 1) :])
        self._settings.put(PRINTED, json.dumps({**kept, plan_name: merged}))

    def _read(self) -> dict[str, Digests]:
        """What is remembered; nothing where somebody spoilt the file."""
        try:
            found = json.loads(self._settings.get(PRINTED))
            return {
                str(plan): {str(key): str(digest) for key, digest in digests.items()}
                for plan, digests in found.items()
            }
        except (ValueError, AttributeError):
            return {}
