"""How everything looks: two designed palettes, one grid, our own fonts.

Widgets are given a `CurrentTheme`, read `theme.value` when they paint,
and repaint when `theme.changed` tells them.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette
from PySide6.QtWidgets import QApplication

from guyline.core.readiness.finding import Verdict
from guyline.services.resource_files import shipped
from guyline.widgets.style_sheet import style_sheet

GRID_PX = 8  # every distance is a multiple or a half of it
FONT_FAMILY = "DejaVu Sans"
BASE_POINT_SIZE = 9.0

# Okabe and Ito, "Color Universal Design", 2008 (values as they are commonly printed).
BLUE, ORANGE, GREEN, VERMILLION = "#0072B2", "#E69F00", "#009E73", "#D55E00"
PURPLE, SKY, YELLOW, BLACK = "#CC79A7", "#56B4E9", "#F0E442", "#000000"


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """Colours as #RRGGBB, by what they are for.

    `lines` are the Okabe-Ito colours that read on this background, in the order of use;
    `verdicts` dye a mark that its shape and word have already told.
    """

    name: str
    is_dark: bool
    window: str
    """Between the panels."""
    paper: str
    """What tables, plots and forms lie on."""
    sunk: str
    """Headers, tracks of bars, alternate rows."""
    raised: str
    """Buttons and notices."""
    hairline: str
    ink: str
    muted: str
    """Second-rank text; still 4.5 to 1 against `paper`."""
    accent: str
    on_accent: str
    selection: str
    """Behind selected rows; `ink` is readable on it."""
    ground_fill: str
    """The terrain under a profile."""
    ground_line: str
    water: str
    lines: tuple[str, ...]
    verdicts: tuple[tuple[Verdict, str], ...]

    def verdict_color(self, verdict: Verdict) -> str:
        return dict(self.verdicts)[verdict]


LIGHT = Theme(
    name="light",
    is_dark=False,
    window="#ECE7DB",
    paper="#FBF9F3",
    sunk="#F2EDE2",
    raised="#FFFEFA",
    hairline="#D8D0BF",
    ink="#22262B",
    muted="#5E6166",
    accent="#1F5B6B",
    on_accent="#FFFFFF",
    selection="#D5E4E4",
    ground_fill="#D9CDB4",
    ground_line="#7A6847",
    water="#BFD3DA",
    lines=(BLUE, VERMILLION, GREEN, PURPLE, ORANGE, SKY, BLACK),
    verdicts=(
        (Verdict.GO, "#00704F"),
        (Verdict.CONDITIONS, "#9A5B00"),
        (Verdict.NO_GO, "#B53A00"),
        (Verdict.NOT_ASSESSED, "#5E6166"),
    ),
)

DARK = Theme(
    name="dark",
    is_dark=True,
    window="#15181B",
    paper="#1F2327",
    sunk="#272C31",
    raised="#2E343A",
    hairline="#3E464D",
    ink="#EAE5DA",
    muted="#ABA99F",
    accent="#86C3CC",
    on_accent="#10262B",
    selection="#2C4950",
    ground_fill="#4A4335",
    ground_line="#B7A681",
    water="#2B4552",
    lines=(SKY, ORANGE, "#2FC79A", PURPLE, YELLOW, "#F08650", "#EAE5DA"),
    verdicts=(
        (Verdict.GO, "#41C79B"),
        (Verdict.CONDITIONS, "#EDB24A"),
        (Verdict.NO_GO, "#FF8A57"),
        (Verdict.NOT_ASSESSED, "#ABA99F"),
    ),
)

THEMES = {theme.name: theme for theme in (LIGHT, DARK)}


class CurrentTheme(QObject):
    """The theme in force; `changed` carries the new one."""

    changed = Signal(object)

    def __init__(self, theme: Theme = LIGHT, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._theme = theme

    @property
    def value(self) -> Theme:
        return self._theme

    def use(self, theme: Theme) -> None:
        if theme != self._theme:
            self._theme = theme
            self.changed.emit(theme)


def load_fonts() -> None:
    """Make the shipped fonts known, so that text measures the same on every machine."""
    for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"):
        QFontDatabase.addApplicationFontFromData(
            (shipped("resources") / "fonts" / name).read_bytes()
        )


def font(points: float = BASE_POINT_SIZE, *, bold: bool = False) -> QFont:
    """Return the program's own font; sizes follow the user's text size."""
    made = QFont(FONT_FAMILY)
    made.setPointSizeF(points)
    made.setBold(bold)
    return made


def palette(theme: Theme) -> QPalette:
    """Return every role of a Qt palette, none left to the platform."""
    made = QPalette()
    for role, value in _roles(theme).items():
        made.setColor(role, QColor(value))
    for role in (
        QPalette.ColorRole.Text,
        QPalette.ColorRole.WindowText,
        QPalette.ColorRole.ButtonText,
    ):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(theme.muted))
    return made


def apply_theme(app: QApplication, theme: Theme, points: float = BASE_POINT_SIZE) -> None:
    """Dress the whole program; `setColorScheme` alone changes nothing on bare displays."""
    if app.style().objectName() != "fusion" and not app.styleSheet():
        app.setStyle("Fusion")
    app.setFont(font(points))
    app.setPalette(palette(theme))
    sheet = style_sheet(_sheet_values(theme, points))
    if sheet != app.styleSheet():  # dressing a thousand widgets takes a good part of a second
        app.setStyleSheet(sheet)


def _roles(theme: Theme) -> dict[QPalette.ColorRole, str]:
    role = QPalette.ColorRole
    return {
        role.Window: theme.window,
        role.WindowText: theme.ink,
        role.Base: theme.paper,
        role.AlternateBase: theme.sunk,
        role.Text: theme.ink,
        role.PlaceholderText: theme.muted,
        role.Button: theme.raised,
        role.ButtonText: theme.ink,
        role.BrightText: theme.ink,
        role.Highlight: theme.selection,
        role.HighlightedText: theme.ink,
        role.Accent: theme.accent,
        role.Link: theme.accent,
        role.LinkVisited: theme.accent,
        role.ToolTipBase: theme.raised,
        role.ToolTipText: theme.ink,
        role.Light: theme.raised,
        role.Midlight: theme.sunk,
        role.Mid: theme.hairline,
        role.Dark: theme.hairline,
        role.Shadow: theme.hairline,
    }


def _sheet_values(theme: Theme, points: float) -> dict[str, str]:
    names = ("window", "paper", "sunk", "raised", "hairline", "ink", "muted", "accent")
    values = {name: getattr(theme, name) for name in names}
    icons = Path(str(shipped("resources") / "icons")).as_posix()
    return values | {
        "on_accent": theme.on_accent,
        "selection": theme.selection,
        "name": theme.name,
        "icons": icons,
        "small": f"{points - 0.5:g}pt",
        "large": f"{points + 4:g}pt",
    }
