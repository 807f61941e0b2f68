#!/bin/bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# enter.sh GUEST FOLDER UID:GID MORE COMMAND…: run a command by chroot in GUEST. Runs as root in a
# mount namespace of its own, which ends with the command. The guest sees the same folders as the
# machine, at the same places, apart from the system's own; MORE are further ones, parted by colons.
set -eu
export PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin

guest=$1 folder=$2 user=$3 more=$4
shift 4

complain() {
  printf 'flatwright: %s.\n' "$*" >&2
  exit 2
}

show() { # FOLDER: the same folder at the same place in the guest
  mkdir -p "$guest$1"
  mount --rbind "$1" "$guest$1"
  shown+=("$1")
}

covered() {
  local place
  for place in "${shown[@]}"; do
    case $1/ in "$place"/*) return 0 ;; esac
  done
  return 1
}

shown=()
show /proc
show /dev
for place in /*/; do
  place=${place%/}
  case ${place#/} in
    bin | boot | dev | etc | lib | lib[0-9x]* | lost+found | proc | run | sbin | sys | usr | var) ;;
    *) show "$(realpath "$place")" ;;
  esac
done

IFS=: read -ra places <<<"$more:$folder"
for place in "${places[@]}"; do
  place=$(realpath "$place")
  case $place in
    /usr/local/* | /usr/src/* | /) ;;
    /var | /var/lib | /etc* | /proc* | /dev* | /run* | /sys* | /usr* | /boot*)
      complain "$place belongs to the system and can't be shown to another Debian; work in another folder" ;;
  esac
  [ "$place" = / ] || covered "$place" || show "$place"
done

# Names may be looked up another way since the guest was made, and FreeCAD wants to find its user.
cp /etc/resolv.conf "$guest/etc/resolv.conf.$$" 2>/dev/null && mv "$guest/etc/resolv.conf.$$" "$guest/etc/resolv.conf"
uid=${user%:*}
if ! grep -q "^[^:]*:[^:]*:$uid:" "$guest/etc/passwd"; then
  getent passwd "$uid" >>"$guest/etc/passwd" || complain "User $uid is unknown to this machine"
fi

# shellcheck disable=SC2016 # the inner shell expands them
exec chroot --userspec="$user" "$guest" /bin/sh -c 'cd "$0" && exec "$@"' "$folder" "$@"
