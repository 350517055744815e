"""Settings: each has a default, and a spoilt file harms nobody."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtCore import QByteArray, QSettings

from guyline.viewmodels.settings import (
    GEOMETRY,
    MOST_RECENT,
    RECENT,
    SETTINGS,
    TEXT_POINTS,
    THEME,
    Setting,
    Settings,
    stored_settings,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "guyline.ini"


def settings_in(path: Path) -> Settings:
    return Settings(QSettings(str(path), QSettings.Format.IniFormat))


@pytest.mark.parametrize("setting", SETTINGS, ids=lambda setting: setting.key)
def test_a_fresh_machine_gives_the_default(path: Path, setting: Setting[object]) -> None:
    assert settings_in(path).get(setting) == setting.default


def test_every_setting_has_a_key_of_its_own_and_a_title() -> None:
    assert len({setting.key for setting in SETTINGS}) == len(SETTINGS)
    assert all(setting.title for setting in SETTINGS)


def test_what_was_put_is_there_after_a_restart(path: Path) -> None:
    store = QSettings(str(path), QSettings.Format.IniFormat)
    settings = Settings(store)
    settings.put(THEME, "dark")
    settings.put(TEXT_POINTS, 11.5)
    settings.put(GEOMETRY, QByteArray(b"\x00\x01"))
    store.sync()
    again = settings_in(path)
    assert again.get(THEME) == "dark"
    assert again.get(TEXT_POINTS) == 11.5
    assert again.get(GEOMETRY) == QByteArray(b"\x00\x01")


def test_a_spoilt_value_counts_as_none(path: Path) -> None:
    path.write_text("[window]\ntext_points=huge\ngeometry=@@@\n")
    settings = settings_in(path)
    assert settings.get(TEXT_POINTS) == TEXT_POINTS.default
    assert settings.get(GEOMETRY) == GEOMETRY.default


def test_recent_plans_stand_newest_first_each_once(path: Path, tmp_path: Path) -> None:
    settings = settings_in(path)
    for name in ("a", "b", "a"):
        settings.remember_plan(tmp_path / name)
    assert [Path(known).name for known in settings.get(RECENT)] == ["a", "b"]


def test_a_single_recent_plan_is_still_a_list_after_a_restart(path: Path, tmp_path: Path) -> None:
    store = QSettings(str(path), QSettings.Format.IniFormat)
    Settings(store).remember_plan(tmp_path / "a")
    store.sync()
    assert len(settings_in(path).get(RECENT)) == 1


def test_only_so_many_recent_plans_are_kept(path: Path, tmp_path: Path) -> None:
    settings = settings_in(path)
    for n in range(MOST_RECENT + 3):
        settings.remember_plan(tmp_path / f"plan-{n}")
    assert len(settings.get(RECENT)) == MOST_RECENT


def test_the_file_lies_in_the_users_configuration_folder(tmp_path: Path) -> None:
    assert Path(stored_settings().fileName()).name == "guyline.ini"
