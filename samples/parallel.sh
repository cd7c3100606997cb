#!/bin/sh
# A batch in parts under GNU parallel, joined at the end:
#
#   sh parallel.sh orders.csv results 4        # four parts
#   sh parallel.sh orders.csv results 4 3      # of four parts the third alone, again
#
# PARALLEL_OPTIONS goes to parallel; with "--sshlogin one,two --workdir ." the parts run on other
# machines, which must share the folders. Each part uses one thread; the parts run side by side.
set -eu
orders=$1 out=$2 shards=$3
shift 3
[ $# -gt 0 ] || set -- $(seq "$shards")
# Which parts failed is told by what they say and by the joined summary.
parallel ${PARALLEL_OPTIONS:-} --quote truerise batch "$orders" --out "$out" --threads 1 \
    --shard "{}/$shards" ::: "$@" || true
exec truerise batch "$orders" --out "$out" --collect
