# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Which FreeCAD lives where, and getting it ready.

FW_SERIES=(1.1 1.0 0.20)

# The Debian suite to look for a series in. A suite moves on: after installing, the host is
# asked for its version (fw_check_version), so this table is only where to look.
fw_suite() {
  case $1 in
    1.1) echo forky ;;
    1.0) echo trixie ;;
    0.20) echo bookworm ;;
    *) fw_die "There is no host $1; choose one of ${FW_SERIES[*]}, native or all" ;;
  esac
}

# The suite of this machine, by its name; empty on other systems.
fw_native_suite() {
  (
    . /etc/os-release
    [ "${ID:-}" = debian ] && echo "${VERSION_CODENAME:-sid}"
  )
}

fw_need_debian() {
  [ -n "$(fw_native_suite)" ] ||
    fw_die "This machine is no Debian; Flatwright is made ready by itself on Debian 12, 13 and 14 only"
}

# The series that this machine's own FreeCAD has or would have: what is installed, else what apt offers.
fw_native_series() {
  local version suite series
  version=$(dpkg-query -W -f '${db:Status-Status} ${Version}' freecad 2>/dev/null | sed -n 's/^installed //p')
  suite=$(fw_native_suite)
  for series in "${FW_SERIES[@]}"; do
    [ -n "$version" ] || [ "$suite" != "$(fw_suite "$series")" ] || { echo "$series"; return; }
  done
  if [ -z "$version" ]; then # a suite that the table doesn't know
    fw_update_lists
    version=$(apt-cache policy freecad | sed -n 's/^ *Candidate: //p')
  fi
  echo "$version" | sed -n 's/^\([0-9]*:\)\?\([0-9]*\.[0-9]*\).*/\2/p'
}

# `native` for the machine's own series, else the series itself.
fw_place() {
  if [ "$1" = native ] || [ "$1" = "$(fw_native_series)" ]; then echo native; else echo "$1"; fi
}

# In subshells: the current folder stays, and a failure ends the caller only if it wants to.
fw_prepare() { (cd / && fw_prepare_for use "$1"); }
fw_prepare_tests() { (cd / && fw_prepare_for tests "$1"); }

fw_prepare_for() {
  local purpose=$1 host=$2 place
  fw_need_debian
  [ "$host" = native ] || fw_suite "$host" >/dev/null || exit
  place=$(fw_place "$host") || exit
  if [ "$place" = native ]; then
    fw_locked native fw_install_native "$purpose" || exit
    place=$(fw_place "$host") || exit # now by what is installed
  fi
  if [ "$place" != native ]; then
    fw_locked native fw_install_debootstrap || exit
    fw_locked "$place" fw_make_guest "$place" || exit
  fi
  fw_locked "venv-$place" fw_make_venv "$purpose" "$place" || exit
  fw_check_version "$host" "$place" || exit
}

# Ask FreeCAD itself, once for each package version.
fw_check_version() {
  local host=$1 place=$2 key version
  key=$(fw_package_version "$place")
  if ! fw_stamped "asked-$place" "$key"; then
    version=$(fw_run "$place" "$(fw_venv "$place")/bin/python" - <"$FW_SETUP/version.py") ||
      fw_die "FreeCAD was installed for host $host but doesn't start"
    echo "$version" >"$FW_CACHE/stamps/version-$place"
    fw_stamp "asked-$place" "$key"
    fw_say "Host $host: FreeCAD $version"
  fi
  version=$(fw_version "$host")
  [ "$host" = native ] || case $version in
    "$host".*) ;;
    *) fw_die "Host $host was asked for, but Debian's $(fw_place_name "$place") has FreeCAD $version" ;;
  esac
}

fw_version() { cat "$FW_CACHE/stamps/version-$(fw_place "$1")"; }

fw_place_name() { if [ "$1" = native ]; then fw_native_suite; else fw_suite "$1"; fi; }

# Run a command where FreeCAD lives, in the current folder.
fw_run() {
  local place
  place=$(fw_place "$1") || exit
  shift
  if [ "$place" = native ]; then "$@"; else fw_in_guest "$place" "$@"; fi
}

# The interpreter with Flatwright importable. FreeCAD gets user folders of its own, so that
# neither the user's settings change the result nor the run changes the settings.
fw_python() {
  local host=$1 place home
  shift
  place=$(fw_place "$host") || exit
  (
    home=$(mktemp -d /tmp/flatwright.XXXXXX)
    trap 'rm -rf "$home"' EXIT
    fw_run "$place" env PYTHONPATH="$FW_CHECKOUT/workbench" PYTHONNOUSERSITE=1 \
      FREECAD_USER_HOME="$home" QTWEBENGINE_DISABLE_SANDBOX=1 "$(fw_venv "$place")/bin/python" "$@"
  )
}
