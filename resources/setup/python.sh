# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# One virtual environment for each host, on top of the system's own packages, which stay as they are.

fw_venv() { echo "$FW_CACHE/venv-$1"; }

# fw_make_venv use|tests PLACE
fw_make_venv() {
  local purpose=$1 place=$2 venv python want
  venv=$(fw_venv "$place")
  python=$(fw_run "$place" /usr/bin/python3 -V) || fw_die "The Python of host $place doesn't start"
  want=$(fw_hash "$python" "$(cat "$FW_SETUP/requirements.txt" "$FW_SETUP/layout-engines.txt")")
  if ! fw_stamped "venv-$place" "$want" || [ ! -x "$venv/bin/pip" ]; then
    fw_unstamp "venv-$place"
    fw_unstamp "venv-$place-tests"
    rm -rf "$venv"
    fw_say "Making a Python environment in $venv with shapely and numpy: the system's own stays as it is"
    if ! { fw_quietly fw_run "$place" /usr/bin/python3 -m venv --system-site-packages "$venv" &&
      fw_pip "$place" -r "$FW_SETUP/requirements.txt"; }; then
      fw_die "pip could not install what Flatwright needs on host $place (its last lines are above)"
    fi
    fw_pip "$place" -r "$FW_SETUP/layout-engines.txt" ||
      fw_say "Host $place goes without a packing library: layouts are made by the built-in engine"
    fw_stamp "venv-$place" "$want"
  fi
  [ "$purpose" = use ] || fw_add_test_tools "$place"
}

fw_add_test_tools() {
  local place=$1 want
  want=$(fw_hash "$(cat "$FW_CHECKOUT/tests/requirements.txt")")
  fw_stamped "venv-$place-tests" "$want" && return
  fw_say "Adding the test tools to it"
  fw_pip "$place" -r "$FW_CHECKOUT/tests/requirements.txt" ||
    fw_die "pip could not install the test tools on host $place (its last lines are above)"
  fw_stamp "venv-$place-tests" "$want"
}

fw_pip() {
  local place=$1
  shift
  fw_retry fw_quietly fw_run "$place" env PYTHONNOUSERSITE=1 \
    "$(fw_venv "$place")/bin/python" -m pip --disable-pip-version-check install --only-binary :all: \
    --constraint "$FW_SETUP/constraints.txt" "$@"
}
