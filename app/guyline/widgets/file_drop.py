"""Files dragged onto the window: places, elevation, another plan."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from PySide6.QtCore import QEvent, QMimeData, QObject
from PySide6.QtGui import QDropEvent
from PySide6.QtWidgets import QWidget

from guyline.services.interchange import FORMATS
from guyline.services.plan_files import SUFFIX

ELEVATION_ENDINGS = (".tif", ".tiff", ".hgt", ".hgt.gz", ".asc")


class FileDrop(QObject):
    """Hands each kind of file to whom it concerns; other files are not accepted."""

    def __init__(
        self,
        window: QWidget,
        *,
        places: Callable[[Path], object],
        terrain: Callable[[list[Path]], object],
        plan: Callable[[Path], object],
    ) -> None:
        super().__init__(window)
        self._places, self._terrain, self._plan = places, terrain, plan
        window.setAcceptDrops(True)
        window.installEventFilter(self)

    def take(self, paths: Sequence[Path]) -> bool:
        """Take what is of use among files, and say whether any was."""
        elevation = [path for path in paths if _is_elevation(path)]
        plans = [path for path in paths if path.name.endswith(SUFFIX)]
        places = [path for path in paths if _holds_places(path)]
        if elevation:
            self._terrain(elevation)
        if plans:
            self._plan(plans[0])
        elif places:
            self._places(places[0])
        return bool(elevation or plans or places)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() not in (QEvent.Type.DragEnter, QEvent.Type.Drop):
            return super().eventFilter(watched, event)
        assert isinstance(event, QDropEvent)
        paths = _paths(event.mimeData())
        if not any(map(_is_of_use, paths)):
            return super().eventFilter(watched, event)
        event.acceptProposedAction()
        if event.type() == QEvent.Type.Drop:
            self.take(paths)
        return True


def _paths(data: QMimeData) -> list[Path]:
    return [Path(url.toLocalFile()) for url in data.urls() if url.isLocalFile()]


def _is_elevation(path: Path) -> bool:
    return path.name.lower().endswith(ELEVATION_ENDINGS)


def _holds_places(path: Path) -> bool:
    return path.suffix.lower() in FORMATS and not path.name.endswith(SUFFIX)


def _is_of_use(path: Path) -> bool:
    return path.name.endswith(SUFFIX) or _is_elevation(path) or _holds_places(path)
