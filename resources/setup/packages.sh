# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Debian packages, on this machine.

# shellcheck disable=SC2034 # guest.sh and the referee use it
FW_MIRROR=http://deb.debian.org/debian

# A window system for pictures without a screen; scipy and imagemagick serve tests only.
FW_PACKAGES=(freecad python3-venv python3-numpy xvfb xauth)
FW_TEST_PACKAGES=(python3-scipy imagemagick)
FW_APT=(env DEBIAN_FRONTEND=noninteractive LC_ALL=C.UTF-8 apt-get -q -o DPkg::Lock::Timeout=600)

# Debian 12's shapely is too old; pip brings it there (see requirements.txt).
fw_suite_packages() {
  printf '%s\n' "${FW_PACKAGES[@]}"
  [ "$1" = bookworm ] || echo python3-shapely
}

fw_installed() {
  [ "$(dpkg-query -W -f '${db:Status-Status}' "$1" 2>/dev/null)" = installed ]
}

# fw_install WHY PACKAGE…: install what is missing, if anything is.
fw_install() {
  local why=$1 package missing=()
  shift
  for package in "$@"; do
    fw_installed "$package" || missing+=("$package")
  done
  [ ${#missing[@]} -gt 0 ] || return 0
  fw_say "Installing ${missing[*]} by apt: $why"
  fw_update_lists
  fw_retry fw_quietly fw_root "${FW_APT[@]}" install -y --no-install-recommends "${missing[@]}" ||
    fw_die "apt-get could not install ${missing[*]} (its last lines are above)"
}

fw_update_lists() {
  [ -z "${FW_LISTS_FRESH:-}" ] || return 0
  fw_retry fw_quietly fw_root "${FW_APT[@]}" update ||
    fw_die "apt-get update failed (its last lines are above)"
  FW_LISTS_FRESH=1
}

fw_install_native() {
  local packages
  mapfile -t packages < <(fw_suite_packages "$(fw_native_suite)")
  fw_install "FreeCAD, its Python and a screen for pictures" "${packages[@]}"
  [ "$1" = use ] || fw_install "tests compare with them" "${FW_TEST_PACKAGES[@]}"
}

fw_install_debootstrap() {
  fw_install "FreeCAD of another series lives in a Debian of its own" debootstrap debian-archive-keyring python3
}

fw_package_version() { fw_run "$1" dpkg-query -W -f '${Version}' freecad; }
