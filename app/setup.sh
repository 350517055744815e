# Sourced by app/run.sh and tests/run.sh: finds Python, system libraries and the environment.
# POSIX shell. Expects $here, the top of the checkout; sets $venv and, where asked, $py.

venv=${GUYLINE_VENV:-$here/app/.venv}

say() { printf '%s\n' "$*" >&2; }

find_python() {
  for candidate in "${PYTHON:-}" python3.13 python3.12 python3.11 python3.14 python3; do
    [ -n "$candidate" ] && command -v "$candidate" >/dev/null 2>&1 || continue
    "$candidate" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 14))' \
      2>/dev/null && { py=$candidate; return; }
  done
  say "Guyline needs Python 3.11 to 3.14. On Debian or Ubuntu: sudo apt-get install python3 python3-venv"
  exit 3
}

# Debian's packages that Qt needs and a minimal system lacks; $1 adds to them.
install_system_libraries() {
  [ "$(uname -s)" = Linux ] && [ -r /etc/debian_version ] || return 0
  lacking=
  for package in libgl1 libegl1 libfontconfig1 libxkbcommon0 libdbus-1-3 libgssapi-krb5-2 \
    libxcb-cursor0 libxcb-icccm4 libxcb-keysyms1 libxcb-shape0 libxcb-randr0 libxcb-xkb1 \
    libxkbcommon-x11-0 libx11-xcb1 libwayland-cursor0 fonts-dejavu-core $1; do
    dpkg-query -W -f '${db:Status-Abbrev}' "$package" 2>/dev/null | grep -q '^ii' ||
      lacking="$lacking $package"
  done
  # its package has another name on newer systems, so ask for the library itself
  PATH="$PATH:/usr/sbin:/sbin" ldconfig -p 2>/dev/null | grep -q 'libglib-2\.0\.so\.0' ||
    lacking="$lacking libglib2.0-0"
  "$py" -c 'import venv, ensurepip' 2>/dev/null || lacking="$lacking python3-venv"
  [ -n "$lacking" ] || return 0
  if [ "$(id -u)" = 0 ]; then
    say "Installing system libraries:$lacking"
    apt-get update -qq &&
      DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $lacking >/dev/null
  else
    say "System libraries are missing. If Guyline does not start, run this once:"
    say "  sudo apt-get install -y --no-install-recommends$lacking"
  fi
}

# What the environment was made of; it changes with what is to be installed.
stamp_of() { printf '%s' "$(cksum <"$here/pyproject.toml") $here $*"; }

# Whether the environment holds these groups already; quick, so that a later start is.
is_ready() {
  [ -x "$venv/bin/python" ] && [ "$(cat "$venv/.installed" 2>/dev/null)" = "$(stamp_of "$@")" ]
}

# Makes the environment, or mends one whose installation was interrupted: the stamp is
# written last.
make_environment() {
  is_ready "$@" && return 0
  say "Preparing Guyline's environment in $venv (once; about 1 GB, some minutes) ..."
  if ! "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
    rm -rf "$venv"
    "$py" -m venv "$venv"
  fi
  rm -f "$venv/.installed"
  pip="$venv/bin/python -m pip -q --disable-pip-version-check"
  $pip install --upgrade "pip>=25.1"  # the first that reads dependency groups
  groups=
  for group in "$@"; do groups="$groups --group $here/pyproject.toml:$group"; done
  $pip install --editable "$here" $groups
  stamp_of "$@" >"$venv/.installed"
}
