"""The plan of one deployment, as an immutable value."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from guyline.core.plan.clutter import ClutterBand
from guyline.core.plan.facts import Fact
from guyline.core.plan.incident import Incident, RadioProfile, RadioRule
from guyline.core.plan.map_layer import MapLayer
from guyline.core.plan.reading import LinkReading
from guyline.core.plan.service import Handheld, Place
from guyline.core.plan.site import Site, SiteId
from guyline.core.plan.stock import StockItem


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A pair of sites that must hear each other; the order has no meaning."""

    from_id: SiteId
    to_id: SiteId

    @property
    def ends(self) -> frozenset[SiteId]:
        return frozenset((self.from_id, self.to_id))

    def other(self, site_id: SiteId) -> SiteId:
        return self.to_id if site_id == self.from_id else self.from_id


@dataclass(frozen=True, slots=True, kw_only=True)
class Need:
    """Who must reach whom; `priority` 1 is the most urgent."""

    from_id: SiteId
    to_id: SiteId
    priority: int = 1
    description: str = ""
    packets_per_hour: float | None = None
    """Packets in each direction."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TerrainSource:
    """A file of elevations; `path` is relative to the plan file unless absolute.

    `height_sd_m` is the standard deviation of its height error where somebody published one.
    """

    path: str
    description: str = ""
    vertical_datum: str = ""
    includes_trees: Fact = Fact.UNKNOWN
    height_sd_m: float | None = None
    licence: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that is known of a deployment; edits return a new plan."""

    incident: Incident = field(default_factory=Incident)
    radio_profile: RadioProfile = field(default_factory=RadioProfile)
    radio_rule: RadioRule | None = None
    earth_k: float = 4 / 3
    """Median effective Earth radius over true radius."""
    trees_in_leaf: Fact = Fact.UNKNOWN
    """Whether trees carry leaves during the mission; unknown counts as yes."""
    sites: tuple[Site, ...] = ()
    links: tuple[Link, ...] = ()
    needs: tuple[Need, ...] = ()
    handheld: Handheld = field(default_factory=Handheld)
    places: tuple[Place, ...] = ()
    """Places that need service from a pocket radio."""
    terrain_sources: tuple[TerrainSource, ...] = ()
    land_cover_path: str = ""
    """A map of land cover by class, found like the elevation files; none if empty."""
    land_cover_licence: str = ""
    """Whose the map of land cover is, in the words that its licence asks to be shown."""
    clutter: tuple[ClutterBand, ...] = ()
    """What stands along the paths and is on no map."""
    map_layers: tuple[MapLayer, ...] = ()
    """Flood, fire and access as others drew them, found like the elevation files."""
    stock: tuple[StockItem, ...] = ()
    readings: tuple[LinkReading, ...] = ()
    """What crews read on the links they built."""

    def site(self, site_id: SiteId) -> Site:
        """Return the site of that identifier.

        Raises
        ------
        KeyError
            No site has it.
        """
        for site in self.sites:
            if site.site_id == site_id:
                return site
        raise KeyError(site_id)

    def has_site(self, site_id: SiteId) -> bool:
        return any(site.site_id == site_id for site in self.sites)

    def links_of(self, site_id: SiteId) -> tuple[Link, ...]:
        return tuple(link for link in self.links if site_id in link.ends)

    def with_site(self, changed: Site) -> Plan:
        """Return a copy in which `changed` stands for the site of its identifier."""
        return self.with_sites([changed])

    def with_sites(self, changed: Iterable[Site]) -> Plan:
        by_id = {site.site_id: site for site in changed}
        return replace(self, sites=tuple(by_id.get(s.site_id, s) for s in self.sites))

    def adding_site(self, site: Site) -> Plan:
        """Return a copy with one more site; its identifier must be new."""
        if self.has_site(site.site_id):
            raise ValueError(f"site {site.site_id} exists already")
        return replace(self, sites=(*self.sites, site))

    def without_sites(self, site_ids: Iterable[SiteId]) -> Plan:
        """Return a copy without those sites and without the links and needs they end.

        What was promised to them is free again.
        """
        gone = frozenset(site_ids)
        return replace(
            self,
            sites=tuple(s for s in self.sites if s.site_id not in gone),
            links=tuple(link for link in self.links if not link.ends & gone),
            needs=tuple(n for n in self.needs if n.from_id not in gone and n.to_id not in gone),
            stock=tuple(
                replace(item, assigned_to=None) if item.assigned_to in gone else item
                for item in self.stock
            ),
            readings=tuple(
                r for r in self.readings if r.talker_id not in gone and r.listener_id not in gone
            ),
        )

    def renaming_site(self, old: SiteId, new: SiteId) -> Plan:
        """Return a copy in which a site has another identifier, wherever it is named."""

        def name(site_id: SiteId) -> SiteId:
            return new if site_id == old else site_id

        return replace(
            self,
            sites=tuple(replace(s, site_id=name(s.site_id)) for s in self.sites),
            links=tuple(Link(from_id=name(k.from_id), to_id=name(k.to_id)) for k in self.links),
            needs=tuple(
                replace(n, from_id=name(n.from_id), to_id=name(n.to_id)) for n in self.needs
            ),
            stock=tuple(
                item
                if item.assigned_to is None
                else replace(item, assigned_to=name(item.assigned_to))
                for item in self.stock
            ),
            readings=tuple(
                replace(r, talker_id=name(r.talker_id), listener_id=name(r.listener_id))
                for r in self.readings
            ),
        )
