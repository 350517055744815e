"""What the program remembers between two starts: a declared table over QSettings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

import platformdirs
from PySide6.QtCore import QByteArray, QObject, QSettings, Signal

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting(Generic[Value]):
    """One remembered value; `read` takes what the file gives, `title` is what people read."""

    key: str
    default: Value
    read: Callable[[object], Value]
    title: str


def _texts(value: object) -> list[str]:
    if isinstance(value, str):  # QSettings gives back a lone string for a list of one
        return [value]
    if not isinstance(value, list):
        raise TypeError(value)
    return [str(text) for text in value]


def _bytes(value: object) -> QByteArray:
    if not isinstance(value, QByteArray):
        raise TypeError(value)
    return value


def _float(value: object) -> float:
    return float(str(value))


def _int(value: object) -> int:
    return int(str(value))


def _remembered_state(key: str, title: str) -> Setting[QByteArray]:
    return Setting(key=key, default=QByteArray(), read=_bytes, title=title)


THEME = Setting(key="window/theme", default="light", read=str, title="Light or dark")
TEXT_POINTS = Setting(key="window/text_points", default=9.0, read=_float, title="Text size [pt]")
RECENT: Setting[list[str]] = Setting(
    key="files/recent", default=[], read=_texts, title="Plans opened lately, newest first"
)
LAST_FOLDER = Setting(
    key="files/last_folder", default="", read=str, title="Folder of the file dialogs"
)
PRINTED = Setting(key="print/sheets", default="{}", read=str, title="Sheets as last printed")
LAYOUT_VERSION = Setting(
    key="window/layout_version", default=0, read=_int, title="Layout that the sizes belong to"
)
GEOMETRY = _remembered_state("window/geometry", "Place and size of the window")
COLUMNS_STATE = _remembered_state("window/columns", "Widths and order of the table's columns")
BODY_STATE = _remembered_state("window/body", "Widths of sites, map and readiness")
MIDDLE_STATE = _remembered_state("window/middle", "Heights of map and profile")
WHOLE_STATE = _remembered_state("window/whole", "Height of the days")

SETTINGS = (
    THEME,
    TEXT_POINTS,
    RECENT,
    LAST_FOLDER,
    PRINTED,
    LAYOUT_VERSION,
    GEOMETRY,
    COLUMNS_STATE,
    BODY_STATE,
    MIDDLE_STATE,
    WHOLE_STATE,
)

MOST_RECENT = 8


class Settings(QObject):
    """Reads and writes the table; `changed` carries the key."""

    changed = Signal(str)

    def __init__(self, store: QSettings, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._store = store

    def get(self, setting: Setting[Value]) -> Value:
        """Return the remembered value, the default where there is none or a spoilt one."""
        try:
            return setting.read(self._store.value(setting.key, setting.default))
        except (TypeError, ValueError):
            return setting.default

    def put(self, setting: Setting[Value], value: Value) -> None:
        self._store.setValue(setting.key, value)
        self.changed.emit(setting.key)

    def forget(self, setting: Setting[Value]) -> None:
        self._store.remove(setting.key)
        self.changed.emit(setting.key)

    def remember_plan(self, path: Path) -> None:
        """Put a plan first in the list of recent ones."""
        name = str(path.resolve())
        others = [known for known in self.get(RECENT) if known != name]
        self.put(RECENT, [name, *others][:MOST_RECENT])


def stored_settings() -> QSettings:
    """Return the user's own file of settings."""
    folder = Path(platformdirs.user_config_dir("guyline", appauthor=False))
    return QSettings(str(folder / "guyline.ini"), QSettings.Format.IniFormat)
