# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Unpack (not install) Debian's rs274 with the libraries it needs into the cache. Always the one of
# bookworm, whatever this machine is: every run is judged by the same interpreter, and its C library
# is the oldest of all hosts, so that the one copy runs on each of them.

FW_REFEREE_PACKAGES=(linuxcnc-uspace libboost-python1.74.0
  libpython3.11 libpython3.11-minimal libpython3.11-stdlib libexpat1 zlib1g
  libedit2 libbsd0 libmd0 libtinfo6 libtirpc3 libgssapi-krb5-2 libkrb5-3 libk5crypto3
  libkrb5support0 libcom-err2 libkeyutils1 libssl3 libstdc++6 libgcc-s1)

fw_unpack_referee() {
  local want tree=$FW_CACHE/referee
  want=$(fw_hash bookworm "${FW_REFEREE_PACKAGES[@]}")
  fw_stamped referee "$want" && [ -x "$tree/usr/bin/rs274" ] && return
  fw_unstamp referee
  fw_say "Unpacking an RS274 interpreter into $tree: the referee of every posted program"
  fw_retry fw_quietly fw_fetch_referee "$tree" || fw_die "The RS274 interpreter could not be fetched (the last lines are above)"
  fw_stamp referee "$want"
}

# With package lists of its own, so that the machine's sources stay as they are; needs no root.
fw_fetch_referee() {
  local tree=$1 work=$1.work file apt
  rm -rf "$tree" "$work"
  mkdir -p "$tree" "$work/lists/partial" "$work/cache/archives/partial" "$work/sources.list.d"
  echo "deb [signed-by=/usr/share/keyrings/debian-archive-keyring.gpg] $FW_MIRROR bookworm main" >"$work/sources.list"
  apt=(env LC_ALL=C.UTF-8 apt-get -q -o Dir::Etc::SourceList="$work/sources.list"
    -o Dir::Etc::SourceParts="$work/sources.list.d" -o Dir::State::Lists="$work/lists"
    -o Dir::Cache="$work/cache" -o Dir::Etc::PreferencesParts="$work/sources.list.d" -o APT::Sandbox::User=)
  "${apt[@]}" update || return
  (cd "$work" && "${apt[@]}" download "${FW_REFEREE_PACKAGES[@]/%//bookworm}") || return
  for file in "$work"/*.deb; do
    dpkg -x "$file" "$tree" || return
  done
  rm -rf "$work"
}
