"""Everything the menus offer, as rows of data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QMainWindow, QMenu


@dataclass(frozen=True, slots=True, kw_only=True)
class ActionRow:
    """One entry of a menu; `key` names what it does, `opens_group` draws a line above it."""

    menu: str
    key: str
    text: str
    shortcut: str = ""
    tip: str = ""
    opens_group: bool = False
    is_checkable: bool = False


def _row(menu: str, key: str, text: str, shortcut: str = "", tip: str = "") -> ActionRow:
    is_first = text.startswith("|")
    return ActionRow(
        menu=menu,
        key=key,
        text=text.removeprefix("|"),
        shortcut=shortcut,
        tip=tip,
        opens_group=is_first,
    )


RECENT_MENU = "recent"
ROWS: tuple[ActionRow, ...] = (
    _row("&File", "new", "&New plan", "Ctrl+N"),
    _row("&File", "open", "&Open…", "Ctrl+O"),
    _row("&File", RECENT_MENU, "Open &recent"),
    _row("&File", "open_demo", "Open a copy of the &demo plan"),
    _row(
        "&File",
        "open_practice",
        "Open the prac&tice plan",
        tip="Ten mistakes made on purpose; the board leads from one to the next",
    ),
    _row("&File", "save", "|&Save", "Ctrl+S"),
    _row("&File", "save_as", "Save &as…", "Ctrl+Shift+S"),
    _row(
        "&File",
        "import_places",
        "|&Import places…",
        "Ctrl+I",
        "CSV, GPX, GeoJSON, KML, GeoPackage, shapefile or text; shown before anything changes",
    ),
    _row("&File", "export_places", "Export p&laces…"),
    _row(
        "&File",
        "export_comms",
        "Export &communications plan…",
        tip="ICS 205, 205A and 217A as tables; Print has it as pages",
    ),
    _row("&File", "share_copy", "Save a copy to &give away…", tip="Without numbers and codes"),
    _row(
        "&File", "merge_copy", "&Merge another copy…", tip="Contradictions are chosen one by one"
    ),
    _row("&File", "print", "|&Print sheets…", "Ctrl+P", "Preview, then paper"),
    _row("&File", "export_pdf", "&Export sheets as PDF…", "Ctrl+Shift+P"),
    _row("&File", "quit", "|&Quit", "Ctrl+Q"),
    _row("&Edit", "undo", "&Undo", "Ctrl+Z"),
    _row("&Edit", "redo", "&Redo", "Ctrl+Shift+Z"),
    _row("&Edit", "copy", "|&Copy sites", "Ctrl+C", "As a spreadsheet takes them"),
    _row(
        "&Edit",
        "paste",
        "&Paste",
        "Ctrl+V",
        "Rows of a spreadsheet; with a row of headings, new identifiers become new sites",
    ),
    _row(
        "&Edit",
        "paste_places",
        "Paste p&laces…",
        "Ctrl+Shift+V",
        "A list of names and coordinates, shown before anything changes",
    ),
    _row("&Edit", "find", "|&Find site", "Ctrl+F"),
    _row("&Sites", "add_site", "&Add site", "Ctrl+Shift+N"),
    _row("&Sites", "duplicate_sites", "&Duplicate sites", "Ctrl+D"),
    _row("&Sites", "remove_sites", "&Remove sites", "Ctrl+Del", "Undo brings them back"),
    _row("&Sites", "edit_cell", "|&Edit cell", "F2", "Enters it for all selected sites"),
    _row("&Sites", "link_sites", "&Link selected sites", "Ctrl+L"),
    _row("&Sites", "show_path", "Show &path of selected sites", "Ctrl+Shift+L"),
    _row(
        "&Plan",
        "get_terrain",
        "Get &terrain for this area…",
        tip="Open elevation data under the sites; its size is told first",
    ),
    _row(
        "&Plan",
        "show_changes",
        "|What &changed…",
        "Ctrl+H",
        "Since the last save, review or print, value by value",
    ),
    _row("&Plan", "mark_reviewed", "Mark as &reviewed", tip="Changes are counted from now"),
    _row("&View", "show_board", "&Board", "Ctrl+1"),
    _row("&View", "show_readiness", "&Readiness", "Ctrl+2"),
    _row("&View", "show_link", "&Link", "Ctrl+3"),
    _row("&View", "show_power", "P&ower", "Ctrl+4"),
    _row("&View", "show_details", "Site &details", "Ctrl+5"),
    _row("&View", "show_plan", "&Plan and needs", "Ctrl+6"),
    ActionRow(menu="&View", key="dark", text="&Dark", opens_group=True, is_checkable=True),
    _row("&View", "larger_text", "&Larger text", "Ctrl++"),
    _row("&View", "smaller_text", "&Smaller text", "Ctrl+-"),
    _row("&View", "reset_layout", "|Reset la&yout"),
    _row("&View", "assess_again", "&Work everything out again", "F5"),
    _row(
        "&Help",
        "show_checks",
        "&What is checked…",
        tip="Each thing that goes wrong at such sites, how it is met, and where it is open",
    ),
    _row("&Help", "about", "&About and cautions"),
)


def build_menus(
    window: QMainWindow, do: Mapping[str, Callable[[], object]], recent: QMenu
) -> dict[str, QAction]:
    """Fill the menu bar from the table, and return the actions by key."""
    menus: dict[str, QMenu] = {}
    actions: dict[str, QAction] = {}
    for row in ROWS:
        menu = menus.get(row.menu)
        if menu is None:
            menu = menus[row.menu] = window.menuBar().addMenu(row.menu)
            menu.setToolTipsVisible(True)
        if row.opens_group:
            menu.addSeparator()
        if row.key == RECENT_MENU:
            recent.setTitle(row.text)
            actions[row.key] = menu.addMenu(recent)
            continue
        actions[row.key] = _action(window, row, do[row.key])
        menu.addAction(actions[row.key])
    return actions


def _action(window: QMainWindow, row: ActionRow, do: Callable[[], object]) -> QAction:
    action = QAction(row.text, window)
    action.setObjectName(row.key)
    action.setCheckable(row.is_checkable)
    if row.shortcut:
        action.setShortcut(QKeySequence(row.shortcut))
    if row.tip:
        action.setToolTip(row.tip)
    action.triggered.connect(lambda checked: do())
    return action
