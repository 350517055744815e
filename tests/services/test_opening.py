"""A plan opens with the user's own tables, and without them where they are not right."""

from __future__ import annotations

import platformdirs
import pytest

from guyline.core.plan import Plan
from guyline.services.catalogues import own_catalogues
from guyline.services.opening import open_plan
from guyline.services.plan_files import save_plan


@pytest.fixture
def own_tables(tmp_path, monkeypatch):
    folder = tmp_path / "config"
    (folder / "catalogues").mkdir(parents=True)
    monkeypatch.setattr(platformdirs, "user_config_dir", lambda *args, **kwargs: str(folder))
    own_catalogues.cache_clear()
    yield folder / "catalogues"
    own_catalogues.cache_clear()


def test_tables_that_are_not_right_do_not_keep_a_plan_shut(tmp_path, own_tables):
    (own_tables / "antennas.csv").write_text("key,name\nx,y\n", encoding="utf-8")
    save_plan(Plan(), tmp_path / "p.plan.json")
    (problem,) = open_plan(tmp_path / "p.plan.json").problems
    assert "antennas.csv" in problem


def test_without_tables_of_ones_own_nothing_is_amiss(tmp_path, own_tables):
    save_plan(Plan(), tmp_path / "p.plan.json")
    assert open_plan(tmp_path / "p.plan.json").problems == ()
