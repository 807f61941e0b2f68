#!/bin/bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# The toy library's furniture through the main job: bash resources/demo/run.sh [--host H] [FOLDER]
# Installs what is missing, fits and posts both pieces, and shows where the results lie.
set -u

host=native
if [ "${1-}" = --host ]; then host=${2-native}; shift 2; fi
demo=$(cd "$(dirname "${BASH_SOURCE[0]}")" && pwd -P)
. "$demo/../setup.sh"
out=$(realpath -m "${1:-$FW_CACHE/demo}")

fw_prepare "$host" || exit 2
mkdir -p "$out" || fw_die "The folder $out can't be made"
cd "$out" || exit 2

failed=0
for piece in book-trolley puppet-stage; do
  readings=()
  while read -r line; do
    case $line in '' | '#'*) ;; *) readings+=(--readings "${line// /}") ;; esac
  done <"$demo/readings.txt"
  [ "$piece" = puppet-stage ] || readings=("${readings[@]:0:2}") # the trolley is all of one board
  echo
  echo "== $piece, fitted to the boards in hand =="
  fw_python "$host" -m flatwright apply "$demo/$piece.FCStd" --preset "$demo/../presets/metric.shop.json" \
    "${readings[@]}" --out "$out/$piece" || failed=1
  fw_python "$host" "$demo/pictures.py" "$out/$piece" || failed=1
done

echo
echo "The results lie in $out:"
for piece in book-trolley puppet-stage; do
  echo "  $piece/operator-sheet.html   what the person at the machine reads"
  echo "  $piece/sheets/               programs, in running order"
  echo "  $piece/fitted.FCStd          the model with fitted panels, sheets and CAM jobs (.step: the panels)"
  echo "  $piece/fitted.png, sheet-1.png"
done
exit $failed
