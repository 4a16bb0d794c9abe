#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# Fails if core includes Qt or app, if a core folder includes a higher one, or if app's folders are reached from core.
# Usage: layering.sh SOURCE_DIR
set -euo pipefail
cd "$1"
layers=(base survey fit film outline section records checks store handover)
bad=0

complain() { # header line, then what grep found (1 = searched, found none; above that grep itself failed)
    local title=$1 status=0
    shift
    "$@" || status=$?
    if [ "$status" -eq 0 ]; then
        echo "layering: $title" >&2
        bad=1
    elif [ "$status" -gt 1 ]; then
        echo "layering: the search itself failed: $*" >&2
        exit 2
    fi
}

complain "core includes Qt or app" grep -rnE '#include [<"](Q[A-Z]|Qt|app/)' core
for ((low = 0; low < ${#layers[@]}; low++)); do
    for ((high = low + 1; high < ${#layers[@]}; high++)); do
        complain "${layers[low]} includes ${layers[high]}" \
            grep -rn "#include \"core/${layers[high]}/" "core/${layers[low]}"
    done
done
complain "tests are included from the program" grep -rn '#include "tests/' core app
exit $bad
