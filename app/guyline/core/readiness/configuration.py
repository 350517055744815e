"""Is every radio told from every other, and set as the plan says? The proof over all sites."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from guyline.core.network.effect import NeedAssessment
from guyline.core.plan import Plan, SiteId
from guyline.core.readiness.alike_checks import alike
from guyline.core.readiness.bench_checks import is_as_planned, is_known, settings_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Configuration:
    """What is proven of the radios' settings, and what is not.

    Attributes
    ----------
    unread
        Sites whose radio's identifier has not been read.
    same
        Groups of sites whose radios have one identifier, whatever the case of its letters.
    alike_radios, alike_sites
        Groups of sites that an eye or an ear could take for one another, by the radio's
        identifier or by their own identifier or name.
    as_planned, differing, not_read_back
        Sites by what the bench record says of the settings.
    longest_route
        Hops of the longest way that a met need takes; 0 where none is met.
    """

    unread: tuple[SiteId, ...] = ()
    same: tuple[tuple[SiteId, ...], ...] = ()
    alike_radios: tuple[tuple[SiteId, ...], ...] = ()
    alike_sites: tuple[tuple[SiteId, ...], ...] = ()
    as_planned: tuple[SiteId, ...] = ()
    differing: tuple[SiteId, ...] = ()
    not_read_back: tuple[SiteId, ...] = ()
    longest_route: int = 0

    @property
    def is_proven(self) -> bool:
        """Whether every radio is known, unlike every other, and was read back as planned."""
        doubts = (self.unread, self.same, self.alike_radios, self.alike_sites)
        return not any((*doubts, self.differing, self.not_read_back))


def configuration(plan: Plan, needs: Iterable[NeedAssessment] = ()) -> Configuration:
    """The proof for a plan.

    Parameters
    ----------
    needs : iterable of NeedAssessment
        With the ways that they take.
    """
    identifiers = {s.site_id: s.radio.identifier for s in plan.sites}
    by_plain: dict[str, list[SiteId]] = {}
    for site_id, identifier in identifiers.items():
        if plain := identifier.strip().casefold():
            by_plain.setdefault(plain, []).append(site_id)
    same = tuple(tuple(sites) for sites in by_plain.values() if len(sites) > 1)
    states = {site.site_id: _state(plan, site.site_id) for site in plan.sites}
    ids = {s.site_id: str(s.site_id) for s in plan.sites}
    names = {s.site_id: s.name for s in plan.sites}
    return Configuration(
        unread=tuple(i for i, identifier in identifiers.items() if not identifier.strip()),
        same=same,
        alike_radios=tuple(g for g in _groups(identifiers, by_tail=True) if g not in same),
        alike_sites=tuple(
            dict.fromkeys((*_groups(ids, by_tail=False), *_groups(names, by_tail=False)))
        ),
        as_planned=tuple(i for i, state in states.items() if state is True),
        differing=tuple(i for i, state in states.items() if state is False),
        not_read_back=tuple(i for i, state in states.items() if state is None),
        longest_route=max((len(need.route) - 1 for need in needs if need.is_met), default=0),
    )


def _groups(names: dict[SiteId, str], *, by_tail: bool) -> tuple[tuple[SiteId, ...], ...]:
    found = alike(names, by_tail=by_tail)
    order = list(names)
    groups = (
        tuple(sorted({site_id, *(other for other, _ in others)}, key=order.index))
        for site_id, others in found.items()
    )
    return tuple(dict.fromkeys(groups))


def _state(plan: Plan, site_id: SiteId) -> bool | None:
    """Whether what was read back is as planned; None where nothing was read back."""
    read = [s for s in settings_of(plan, plan.site(site_id)) if is_known(s[2])]
    return all(map(is_as_planned, read)) if read else None
