"""Puts terrain, sun and plan together into the assessment of a whole plan."""

from __future__ import annotations

from guyline.core.network.path import PathAssessment
from guyline.core.plan import Plan
from guyline.core.readiness.assessment import PlanAssessment
from guyline.services.job import Job


class Assessor:
    """Assesses plans over one terrain; remembers profiles and sun, so a change costs little."""

    def assess(self, plan: Plan, job: Job | None = None) -> PlanAssessment:
        raise NotImplementedError

    def path(
        self,
        plan: Plan,
        lat1_deg: float,
        lon1_deg: float,
        antenna1_agl_m: float,
        lat2_deg: float,
        lon2_deg: float,
        antenna2_agl_m: float,
    ) -> PathAssessment:
        raise NotImplementedError
