"""From an empty plan to the first verdict: what to do first, one after another."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from guyline.core.plan import Fact, Plan, PowerSource, Site
from guyline.viewmodels.entries import GATE_RECORDS, Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step; `entry` is where it is done, or `action` the key of the menu's action."""

    head: str
    text: str
    is_done: bool
    entry: Entry | None = None
    action: str = ""


def first_steps(plan: Plan) -> tuple[Step, ...]:
    """Return the steps in the order in which one thing asks for the other."""
    incident = plan.incident
    return (
        Step(
            head="Say when and for how long",
            text="The day on which the network must be up, and how many days it must last.",
            is_done=incident.start_on is not None and incident.mission_days is not None,
            entry=Entry(
                path="incident.start_on" if incident.start_on is None else "incident.mission_days"
            ),
        ),
        Step(
            head="Put the places in",
            text="Paste a list of names and coordinates, in any notation; or import a file, or"
            " add one by one (menus File and Sites).",
            is_done=bool(plan.sites),
            action="paste_places",
        ),
        Step(
            head="Get the ground",
            text="Elevation of the area: from the network once, or from files you have.",
            is_done=bool(plan.terrain_sources),
            action="get_terrain" if plan.sites else "show_plan",
        ),
        Step(
            head="Say who must reach whom",
            text="The needs: everything is judged by them.",
            is_done=bool(plan.needs),
            entry=Entry(path="needs"),
        ),
        Step(
            head="List the links to prove",
            text="Which sites must hear each other. In the table: select them, then Ctrl+L.",
            is_done=bool(plan.links),
            entry=Entry(path="links"),
        ),
        Step(
            head="Enter the radio rule",
            text="What may be radiated here, as you read it in the rules that apply.",
            is_done=plan.radio_rule is not None,
            entry=Entry(path="radio_rule"),
        ),
        _of_sites(
            plan,
            "Choose radio, antenna and feeder",
            "With the height of the antenna and the length of the feeder.",
            _radio_lacks,
        ),
        _of_sites(plan, "Say how each site is fed", "Mains, sun or battery.", _power_lacks),
        _of_sites(
            plan,
            "List the kit",
            "Each list can start from the kit table.",
            lambda site: "" if site.checklist else "checklist",
        ),
        _of_sites(
            plan,
            "Write down who said yes",
            "Permission, and the gates that only people can answer.",
            _answers_lack,
        ),
    )


def _of_sites(plan: Plan, head: str, text: str, lacks: Callable[[Site], str]) -> Step:
    """A step that is done at each site; it leads to the first field that is empty.

    Once most sites have it the plan is past its first steps: findings tell of the others.
    """
    lacking = [(site, path) for site in plan.sites if (path := lacks(site))]
    if 2 * len(lacking) < len(plan.sites) or not plan.sites:
        return Step(head=head, text=text, is_done=bool(plan.sites), action="show_details")
    names = ", ".join(site.site_id for site, _ in lacking[:3])
    more = f" and {len(lacking) - 3} more" if len(lacking) > 3 else ""
    several = " Select several rows to enter one thing for all of them." if more else ""
    site, path = lacking[0]
    return Step(
        head=head,
        text=f"{text} Still open: {names}{more}.{several}",
        is_done=False,
        entry=Entry(path=path, site_id=site.site_id),
    )


def _radio_lacks(site: Site) -> str:
    known = {
        "radio": site.radio.tx_power_dbm,
        "antenna": site.antenna.gain_dbi,
        "antenna_agl_m": site.antenna_agl_m,
        "feeder.length_m": site.feeder.length_m,
    }
    return next((path for path, value in known.items() if value is None), "")


def _power_lacks(site: Site) -> str:
    return "power.source" if site.power.source is PowerSource.UNKNOWN else ""


def _answers_lack(site: Site) -> str:
    if site.permission.is_granted is Fact.UNKNOWN:
        return "permission.is_granted"
    return "" if site.gate_records else GATE_RECORDS
