"""What import-linter cannot say: which packages core may import, what a start must not load."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import grimp
import pytest

import guyline

MAY_IMPORT = {"guyline", "numpy", "scipy", "numba"} | set(sys.stdlib_module_names)


def test_core_imports_only_numeric_packages_and_the_standard_library():
    graph = grimp.build_graph("guyline", include_external_packages=True, cache_dir=None)
    modules = graph.find_descendants("guyline.core") | {"guyline.core"}
    imported = {
        name.partition(".")[0]
        for module in modules
        for name in graph.find_modules_directly_imported_by(module)
    }
    assert imported <= MAY_IMPORT


HEAVY = {
    "pvlib",
    "pandas",
    "numba",
    "rasterio",
    "pydantic",
    "pyproj",
    "pyqtgraph",
    "urllib.request",
}


@pytest.mark.parametrize("module", ["guyline.widgets.application", "guyline.command_line"])
def test_a_start_loads_none_of_the_heavy_packages(module):
    # each of them costs 0.1 to 0.5 s; they are loaded by the work that needs them
    script = f"import sys, {module}\nprint(','.join(sorted({HEAVY} & set(sys.modules))))"
    package = str(Path(guyline.__file__).parents[1])  # checkout or installed, as the tests run
    result = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "PYTHONPATH": package, "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert result.stdout.strip() == ""
