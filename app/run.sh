#!/bin/sh
# Opens Guyline:  sh app/run.sh [PLAN]
# The first run makes an environment beside this file; later ones start at once.
# With a command (check, profile, power, sheet) it does that instead; see --help.
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")/.." && pwd)
. "$here/app/setup.sh"
find_python
venv=${GUYLINE_VENV:-$here/app/.venv}
if [ ! -f "$venv/.installed" ]; then install_system_libraries ""; fi
case "$(cat "$venv/.installed" 2>/dev/null)" in
*" test lint") make_environment test lint ;; # an environment that also runs the tests will do
*) make_environment ;;
esac
exec "$venv/bin/python" -m guyline "$@"
