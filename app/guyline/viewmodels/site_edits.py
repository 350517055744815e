"""What is done to whole sites: add, duplicate, remove, link."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations, count

from guyline.core.plan import Link, Plan, Site, SiteFunction, SiteId


def new_identifier(plan: Plan, stem: str = "SITE") -> SiteId:
    """Return `stem` with the first number that no site has."""
    return next(SiteId(name) for n in count(1) if not plan.has_site(SiteId(name := f"{stem}-{n}")))


def with_new_site(plan: Plan) -> tuple[Plan, SiteId]:
    """Return the plan with an empty site, and its identifier."""
    site_id = new_identifier(plan)
    return plan.adding_site(Site(site_id=site_id, function=SiteFunction.RELAY)), site_id


def with_copies(plan: Plan, site_ids: Sequence[SiteId]) -> tuple[Plan, list[SiteId]]:
    """Return the plan with a copy of each site, without what only one site can have.

    A radio's identifier, a permission and the answers to gates are not copied.
    """
    made = []
    for site_id in site_ids:
        site = plan.site(site_id)
        copy_id = new_identifier(plan, site_id)
        radio = replace(site.radio, identifier="")
        blank = Site(site_id=copy_id)
        copy = replace(
            site, site_id=copy_id, radio=radio, permission=blank.permission, gate_records=()
        )
        plan = plan.adding_site(copy)
        made.append(copy_id)
    return plan, made


def with_links(plan: Plan, site_ids: Sequence[SiteId]) -> Plan:
    """Return the plan with a link to prove between every two of those sites."""
    held = {link.ends for link in plan.links}
    fresh = [
        Link(from_id=near, to_id=far)
        for near, far in combinations(site_ids, 2)
        if frozenset((near, far)) not in held
    ]
    return replace(plan, links=(*plan.links, *fresh))
