"""What the program is, and what it cannot know."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QVBoxLayout, QWidget

from guyline import __version__
from guyline.core.plan import Plan
from guyline.widgets.theme import GRID_PX

WHAT = (
    "Plans a temporary off-grid radio network: proves its links over the terrain, "
    "sizes its power, and says of every site whether it can be built."
)
CAUTIONS = """\
A verdict is worked out from what was entered and from models. It is no permission, no licence \
and no promise. Go and look before anybody depends on it.
Work at height, mains, batteries, lightning and flood water kill. Local codes and licensed people \
decide; nobody works alone, and nobody climbs in wind or lightning.
Keep every mast, stay and antenna further from power lines than it is tall.
A limit in the program is what somebody entered. Ask your radio authority.
Published models of path loss err by several decibels on single paths; trees, buildings and wrong \
heights come on top. Measure every link before you leave the site."""
LICENCE = "Free software under the GNU General Public License, version 3 or later. No warranty."


class AboutDialog(QDialog):
    """The cautions stand first: they matter more than the version."""

    def __init__(self, parent: QWidget | None = None, notices: Sequence[str] = ()) -> None:
        super().__init__(parent)
        self.setWindowTitle("About Guyline")
        name = QLabel(f"Guyline {__version__}")
        name.setObjectName("title")
        cautions = "".join(
            f"<li style='margin-bottom:6px'>{text}</li>" for text in CAUTIONS.splitlines()
        )
        buttons = QDialogButtonBox(QDialogButtonBox.StandardButton.Close)
        buttons.rejected.connect(self.reject)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(3 * GRID_PX, 2 * GRID_PX, 3 * GRID_PX, 2 * GRID_PX)
        layout.setSpacing(GRID_PX)
        layout.addWidget(name)
        for text in (
            WHAT,
            f"<b>Cautions</b><ul style='margin-left:-24px'>{cautions}</ul>",
            *([f"<b>Terrain of this plan</b><br>{'<br>'.join(notices)}"] if notices else []),
            LICENCE,
        ):
            label = QLabel(text)
            label.setWordWrap(True)
            label.setTextFormat(Qt.TextFormat.RichText)
            label.setMinimumWidth(60 * GRID_PX)
            layout.addWidget(label)
        layout.addWidget(buttons)


def credits_of(plan: Plan) -> tuple[str, ...]:
    """Return the notices that the licences of a plan's ground ask to be shown."""
    told = (*(source.licence for source in plan.terrain_sources), plan.land_cover_licence)
    return tuple(dict.fromkeys(escape(text) for text in told if text))
