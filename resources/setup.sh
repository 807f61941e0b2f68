# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# What resources/demo/run.sh and tests/run.sh share: installing what is missing on a fresh
# Debian 12, 13 or 14, as root or with sudo. To be sourced. Then:
#
#   fw_prepare HOST        install FreeCAD and an interpreter for it; quick when it is there already
#   fw_prepare_tests HOST  the same and what tests need
#   fw_run HOST COMMAND…   run a command where that FreeCAD lives, in the current folder
#   fw_python HOST ARGS…   run its interpreter, with Flatwright importable
#   fw_version HOST        the FreeCAD version that was found there
#
# HOST is `native` (the FreeCAD of this Debian) or a FreeCAD series: 1.1, 1.0, 0.20. A series
# other than the native one lives in a Debian of its own in a folder of the cache ("guest").
# Everything that this installs, apart from Debian packages, lies in $FW_CACHE; all that it
# says goes to stderr.

FW_CHECKOUT=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
FW_SETUP=$FW_CHECKOUT/resources/setup
FW_CACHE=${FLATWRIGHT_CACHE:-${XDG_CACHE_HOME:-$HOME/.cache}/flatwright}

for fw_part in say hosts packages guest python; do
  # shellcheck source=/dev/null
  . "$FW_SETUP/$fw_part.sh"
done
unset fw_part

case $(realpath -m "$FW_CACHE")/ in
  "$FW_CHECKOUT"/*) fw_die "The cache folder $FW_CACHE lies inside the checkout; set FLATWRIGHT_CACHE to another place" ;;
esac
mkdir -p "$FW_CACHE/stamps" || fw_die "The cache folder $FW_CACHE can't be made; set FLATWRIGHT_CACHE to another place"
FW_CACHE=$(realpath "$FW_CACHE")
