# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Guests: another Debian in a folder of the cache, entered by chroot. Everything is mounted in a
# mount namespace of the command's own (enter.sh): nothing stays mounted when the command ends,
# however it ends, and runs that overlap don't see each other's mounts.

fw_guest_folder() { echo "$FW_CACHE/guest-$(fw_suite "$1")"; }

# Run a command in the guest of a series, as the same user, in the current folder.
fw_in_guest() {
  local guest
  guest=$(fw_guest_folder "$1")
  shift
  fw_enter "$guest" "$PWD" "$(id -u):$(id -g)" env -u TMPDIR HOME="$HOME" "$@"
}

fw_enter() { # GUEST FOLDER UID:GID COMMAND…
  local guest=$1 folder=$2 user=$3
  shift 3
  fw_root unshare --mount --propagation private \
    bash "$FW_SETUP/enter.sh" "$guest" "$folder" "$user" "$FW_CACHE:$FW_CHECKOUT" "$@"
}

# The first stamp is written when debootstrap has ended well: without it the folder is what an
# interrupted run left, and is made anew. The second one knows which packages are in it.
fw_make_guest() {
  local suite guest packages want
  suite=$(fw_suite "$1")
  guest=$(fw_guest_folder "$1")
  mapfile -t packages < <(fw_suite_packages "$suite")
  packages+=("${FW_TEST_PACKAGES[@]}")
  want=$(fw_hash "$suite" "${packages[@]}")
  fw_quietly fw_root unshare --mount --propagation private true ||
    fw_die "FreeCAD $1 needs a Debian $suite of its own, and this machine doesn't allow mounting (in a container: run it privileged)"
  if ! fw_stamped "guest-$suite" "$suite" || [ ! -x "$guest/usr/bin/apt-get" ]; then
    fw_unstamp "guest-$suite"
    fw_say "Making a Debian $suite in $guest to hold FreeCAD $1: takes some minutes, once"
    fw_retry fw_bootstrap "$suite" "$guest" || fw_die "debootstrap of $suite failed (its last lines are above)"
    fw_unstamp "guest-$suite-packages"
    fw_stamp "guest-$suite" "$suite"
  fi
  fw_stamped "guest-$suite-packages" "$want" && return
  fw_say "Installing ${packages[*]} by apt in $guest: FreeCAD, its Python and what tests compare with"
  fw_quietly fw_enter "$guest" / 0:0 dpkg --configure -a || true # an interrupted run may have left it half done
  if ! { fw_retry fw_guest_apt "$guest" update &&
    fw_retry fw_guest_apt "$guest" install -y --no-install-recommends "${packages[@]}"; }; then
    fw_die "apt-get failed in $guest (its last lines are above)"
  fi
  fw_guest_apt "$guest" clean
  fw_trust "$guest"
  fw_stamp "guest-$suite-packages" "$want"
}

fw_guest_apt() {
  local guest=$1
  shift
  fw_quietly fw_enter "$guest" / 0:0 "${FW_APT[@]}" "$@"
}

fw_bootstrap() {
  local suite=$1 guest=$2 scripts=/usr/share/debootstrap
  fw_remove_guest "$guest"
  if [ ! -e "$scripts/scripts/$suite" ]; then # newer than this machine's debootstrap
    rm -rf "$FW_CACHE/debootstrap"
    cp -r "$scripts" "$FW_CACHE/debootstrap"
    scripts=$FW_CACHE/debootstrap
    ln -s sid "$scripts/scripts/$suite"
  fi
  fw_quietly fw_root unshare --mount --propagation private \
    env DEBOOTSTRAP_DIR="$scripts" PATH=/usr/sbin:/usr/bin:/sbin:/bin \
    debootstrap --variant=minbase "$suite" "$guest" "$FW_MIRROR" &&
    fw_configure_guest "$suite" "$guest"
}

# Never delete through a mount that someone made in there by hand.
fw_remove_guest() {
  [ -e "$1" ] || return 0
  ! grep -q " $1/" /proc/self/mounts || fw_die "$1 is incomplete and has something mounted in it; unmount that first"
  fw_root rm -rf --one-file-system "$1"
}

fw_configure_guest() {
  local suite=$1 guest=$2 lines
  lines="deb $FW_MIRROR $suite main"
  [ "$suite" = forky ] || lines+="
deb $FW_MIRROR $suite-updates main
deb $FW_MIRROR-security $suite-security main"
  fw_write "$guest/etc/apt/sources.list" <<<"$lines"
  # The machine's ways to the mirrors (proxies, clocks that are off) hold in the guest too.
  apt-config dump 2>/dev/null | grep -E '^Acquire::[A-Za-z:-]+ ' | grep -v '^Acquire::IndexTargets' |
    fw_write "$guest/etc/apt/apt.conf.d/50flatwright"
  fw_write "$guest/etc/dpkg/dpkg.cfg.d/flatwright" <<<"force-unsafe-io
path-exclude=/usr/share/doc/*
path-exclude=/usr/share/man/*
path-exclude=/usr/share/locale/*"
  fw_write "$guest/usr/sbin/policy-rc.d" <<<"#!/bin/sh
exit 101"
  fw_root chmod 755 "$guest/usr/sbin/policy-rc.d"
}

# Certificates that the machine trusts, where the same settings (PIP_CERT and the like) look for them.
fw_trust() {
  local file
  for file in /etc/ssl/certs/ca-certificates.crt /etc/pip.conf; do
    [ ! -e "$file" ] || fw_root install -D -m 644 "$file" "$1$file"
  done
}

fw_write() { fw_root tee "$1" >/dev/null; }
