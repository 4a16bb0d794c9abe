#!/bin/bash
# SPDX-License-Identifier: GPL-3.0-or-later
# A source of a lower layer must not compile when it includes a higher one, and must when it includes its own.
# Usage: backward-include.sh COMPILER INCLUDE_ROOTS
set -euo pipefail
compiler=$1 roots=$2
compiles() { printf '#include "%s"\n' "$2" | "$compiler" -std=c++20 -fsyntax-only -x c++ -I "$roots/$1" - 2>/dev/null; }
compiles base core/base/Result.h || { echo "a layer cannot include its own header: this test tests nothing" >&2; exit 1; }
! compiles base core/survey/Peg.h || { echo "base can include survey" >&2; exit 1; }
! compiles film core/records/Records.h || { echo "film can include records" >&2; exit 1; }
