# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Talking, trying again, remembering what is done.

fw_say() { printf 'flatwright: %s\n' "$*" >&2; }

fw_die() {
  fw_say "$*."
  exit 2
}

# Run as root; says once why when sudo has to be asked.
fw_root() {
  if [ "$(id -u)" = 0 ]; then
    "$@"
  elif command -v sudo >/dev/null; then
    sudo -E "$@"
  else
    fw_die "Installing needs root: run this as root, or install sudo"
  fi
}

# Downloads fail now and then: three tries, with a pause between them.
fw_retry() {
  local try
  for try in 1 2 3; do
    "$@" && return 0
    [ "$try" = 3 ] || { fw_say "That failed; trying again"; sleep $((try * 5)); }
  done
  return 1
}

# Show a long command's output only when it fails.
fw_quietly() {
  local log rc=0
  log=$(mktemp)
  "$@" >"$log" 2>&1 </dev/null || rc=$?
  [ "$rc" = 0 ] || tail -n 40 "$log" >&2
  rm -f "$log"
  return "$rc"
}

# A stamp holds the hash of what was asked for; it is written when that is done.
fw_hash() { printf '%s\n' "$@" | sha256sum | cut -d' ' -f1; }
fw_stamped() { [ "$(cat "$FW_CACHE/stamps/$1" 2>/dev/null)" = "$2" ]; }
fw_stamp() {
  printf '%s\n' "$2" >"$FW_CACHE/stamps/$1.new.$$" && mv "$FW_CACHE/stamps/$1.new.$$" "$FW_CACHE/stamps/$1"
}
fw_unstamp() { rm -f "$FW_CACHE/stamps/$1"; }

# Two runs may overlap: the second waits while the first installs the same thing.
fw_locked() {
  local name=$1
  shift
  (
    flock -w 2 9 || { fw_say "Waiting for another run that installs $name"; flock 9; }
    "$@" 9>&-
  ) 9>"$FW_CACHE/stamps/$name.lock"
}
