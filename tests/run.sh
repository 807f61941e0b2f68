#!/bin/bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
set -u

usage() {
  cat <<'TEXT'
bash tests/run.sh [--host 1.1|1.0|0.20|native|all] [--fast] [--long] [--bench] [-- PYTEST ARGS…]
bash tests/run.sh [--host H] --python ARGS…

Runs the tests on a FreeCAD of this machine (native, the default) or of another series, after
installing what is missing. `--host` may be repeated.

  --fast         leave out the tests marked slow
  --long         draw many more random cases in the property tests
  --bench        run the benchmarks instead of the tests
  --python ARGS  run the host's prepared interpreter, in the current folder:
                 bash tests/run.sh --host 1.0 --python -m flatwright --help
TEXT
}

hosts=()
marks=()
bench=
python=
while [ $# -gt 0 ]; do
  case $1 in
    --host) hosts+=("${2-}"); shift ;;
    --host=*) hosts+=("${1#*=}") ;;
    --fast) marks=(-m "not slow") ;;
    --long) export FLATWRIGHT_LONG=1 ;;
    --bench) bench=yes ;;
    --python) python=yes; shift; break ;;
    --help | -h) usage; exit 0 ;;
    --) shift; break ;;
    *) usage >&2; exit 2 ;;
  esac
  [ $# = 0 ] || shift
done
[ ${#hosts[@]} -gt 0 ] || hosts=(native)

checkout=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd -P)
. "$checkout/resources/setup.sh"
for host in "${hosts[@]}"; do
  case $host in
    native | all) ;;
    *) fw_suite "$host" >/dev/null || exit ;;
  esac
done

if [ -n "$python" ]; then
  case ${#hosts[@]}${hosts[0]} in 1all | [!1]*) fw_die "--python runs on one host" ;; esac
  fw_prepare "${hosts[0]}" >&2 </dev/null || exit 2
  fw_python "${hosts[0]}" "$@"
  exit
fi

. "$checkout/tests/support/referee.sh"
. "$checkout/tests/support/suite.sh"
run_suite "$@"
