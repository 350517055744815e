#!/bin/sh
# Opens Guyline:  sh app/run.sh [PLAN]
# The first run makes an environment beside this file; later ones start at once.
# With a command (check, profile, power, sheet) it does that instead; see --help.
set -eu
here=$(CDPATH= cd -- "$(dirname -- "$0")/.." && pwd)
. "$here/app/setup.sh"
if ! is_ready && ! is_ready test lint; then # one that also runs the tests will do
  find_python
  if [ ! -f "$venv/.installed" ]; then install_system_libraries ""; fi
  case "$(cat "$venv/.installed" 2>/dev/null)" in
  *" test lint") make_environment test lint ;;
  *) make_environment ;;
  esac
fi
exec "$venv/bin/python" -m guyline "$@"
