# shellcheck shell=bash
# SPDX-License-Identifier: LGPL-2.1-or-later
# SPDX-FileCopyrightText: The Flatwright authors
#
# Running the tests on one host or on several, two at a time, and counting them. Takes checkout,
# hosts, marks and bench from tests/run.sh.
# shellcheck disable=SC2154

run_suite() { # PYTEST ARGS…
  local host results native
  results=$(mktemp -d /tmp/flatwright-tests.XXXXXX)
  # shellcheck disable=SC2064 # the folder of now
  trap "rm -rf '$results'" EXIT
  trap 'trap - TERM; kill -- $(jobs -p | sed s/^/-/) 2>/dev/null; exit 130' INT TERM
  fw_need_debian
  native=$(fw_native_series)
  mapfile -t hosts < <(suite_hosts "$native")
  cd "$checkout" || exit

  if [ ${#hosts[@]} = 1 ]; then
    suite_host "${hosts[0]}" "$native" "$results" "$@"
  else
    set -m # each host in a process group of its own
    for host in "${hosts[@]}"; do
      while [ "$(jobs -pr | wc -l)" -ge 2 ]; do wait -n; done
      suite_host "$host" "$native" "$results" "$@" 2>&1 </dev/null | sed -u "s/^/[$host] /" &
    done
    wait
    set +m
    [ -n "$bench" ] || [ $# -gt 0 ] || [ ${#marks[@]} -gt 0 ] || suite_across "$native" "$results"
  fi
  /usr/bin/python3 "$checkout/tests/support/count.py" "$results" "${hosts[@]}"
}

# `native` and `all` as series, each once. In `all` the machine's own series comes last: the others
# take longer, for they may have to be installed first.
suite_hosts() {
  local host names=() seen=" "
  for host in "${hosts[@]}"; do
    case $host in
      all) mapfile -t -O ${#names[@]} names < <(printf '%s\n' "${FW_SERIES[@]}" | grep -vx "$1"; echo "$1") ;;
      native) names+=("$1") ;;
      *) names+=("$host") ;;
    esac
  done
  for host in "${names[@]}"; do
    case $seen in *" $host "*) continue ;; esac
    seen+="$host "
    echo "$host"
  done
}

# Prepare one host and run there what was asked for. What happened lies in results: HOST.xml from
# pytest; HOST.passed and HOST.failed with a line for each other thing.
suite_host() { # HOST NATIVE RESULTS PYTEST ARGS…
  local host=$1 as=$1 results=$3
  [ "$host" != "$2" ] || as=native
  shift 3
  if ! { fw_prepare_tests "$as" && (fw_locked referee fw_unpack_referee); }; then
    echo "could not be made ready" >"$results/$host.failed"
    return
  fi
  echo "FreeCAD $(fw_version "$as")" >"$results/$host.version"
  if [ -n "$bench" ]; then
    suite_bench "$as" "$results/$host"
    return
  fi
  [ "$as" != native ] || [ $# -gt 0 ] || suite_check "$results/$host.failed"
  suite_pytest "$as" "$results/$host" "$@"
}

# What the hosts' runs of the demo left, against each other; counted as one more host.
suite_across() { # NATIVE RESULTS
  hosts+=(across)
  echo "the hosts against each other" >"$2/across.version"
  # a native interpreter is there in any case: the others' environments were made by it
  fw_prepare_tests native && FLATWRIGHT_RUNS=$2 suite_pytest native "$2/across" tests/across
}

# The host's interpreter on a screen of its own, with user folders of its own.
suite_python() { # HOST RESULTS ARGS…
  local host=$1 results=$2 home=$2.home
  shift 2
  mkdir -p "$home/freecad" "$home/run"
  chmod 700 "$home/run"
  fw_run "$host" env -u XDG_CONFIG_HOME -u XDG_DATA_HOME -u XDG_CACHE_HOME -u WAYLAND_DISPLAY \
    HOME="$home" FREECAD_USER_HOME="$home/freecad" XDG_RUNTIME_DIR="$home/run" \
    FLATWRIGHT_CACHE="$FW_CACHE" FLATWRIGHT_HOST="$host" FLATWRIGHT_LONG="${FLATWRIGHT_LONG:-}" \
    FLATWRIGHT_RESULTS="$results.runs" FLATWRIGHT_RUNS="${FLATWRIGHT_RUNS:-}" \
    HYPOTHESIS_STORAGE_DIRECTORY="$FW_CACHE/hypothesis" \
    PYTHONPATH="$checkout/workbench" PYTHONNOUSERSITE=1 QTWEBENGINE_DISABLE_SANDBOX=1 \
    PYTEST_DISABLE_PLUGIN_AUTOLOAD=1 \
    xvfb-run -a -s "-screen 0 1600x1000x24 -nolisten tcp" "$(fw_venv "$(fw_place "$host")")/bin/python" "$@"
}

suite_pytest() {
  local host=$1 results=$2 rc=0
  shift 2
  suite_python "$host" "$results" -m pytest -q -p _hypothesis_pytestplugin -p no:cacheprovider \
    --durations=10 --durations-min=2 --junitxml="$results.xml" "${marks[@]}" "$@" || rc=$?
  # 1 = tests failed, which the report counts; 5 = nothing to run, which is well if a part was asked for.
  # A host that crashes leaves no report, whatever its code.
  case $rc in
    0 | 1) [ -s "$results.xml" ] || echo "the run broke off with code $rc" >>"$results.failed" ;;
    5) [ $# -gt 0 ] || echo "no test was run" >>"$results.failed" ;;
    *) echo "pytest ended with code $rc" >>"$results.failed" ;;
  esac
}

# Benchmarks are scripts that print what they measured and end with 1 below what is promised.
suite_bench() {
  local host=$1 results=$2 script
  for script in tests/benchmarks/bench_*.py; do
    echo "$script"
    if suite_python "$host" "$results" "$script"; then echo "$script" >>"$results.passed"; else echo "$script" >>"$results.failed"; fi
  done
}

# Lint and types, in an environment of their own so that every machine comes to the same verdict.
suite_check() {
  local failed=$1 venv=$FW_CACHE/venv-checks
  if ! (fw_locked venv-checks suite_checkers "$venv"); then
    echo "the checkers could not be installed" >>"$failed"
    return
  fi
  "$venv/bin/ruff" check --quiet --no-cache . || echo "ruff check" >>"$failed"
  "$venv/bin/ruff" format --check --quiet --no-cache . || echo "ruff format --check" >>"$failed"
  "$venv/bin/mypy" --no-error-summary --cache-dir "$FW_CACHE/mypy" --python-executable "$venv/bin/python" \
    workbench/flatwright || echo "mypy --strict" >>"$failed"
}

suite_checkers() {
  local venv=$1 want
  want=$(fw_hash "$(/usr/bin/python3 -V)" "$(cat "$checkout/tests/requirements-lint.txt")")
  fw_stamped venv-checks "$want" && return
  fw_say "Making a Python environment in $venv with ruff and mypy"
  rm -rf "$venv"
  fw_quietly /usr/bin/python3 -m venv "$venv" &&
    fw_retry fw_quietly "$venv/bin/python" -m pip install --only-binary :all: \
      -r "$checkout/tests/requirements-lint.txt" || return
  fw_stamp venv-checks "$want"
}
