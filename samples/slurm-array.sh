#!/bin/sh
#SBATCH --job-name=truerise
#SBATCH --array=1-4
#SBATCH --signal=B:TERM@60
# One part of a batch for each task of a Slurm job array:
#
#   sbatch slurm-array.sh orders.csv results
#   sbatch --array=3 slurm-array.sh orders.csv results     # the third part alone, again
#   truerise batch orders.csv --out results --collect      # when all parts have run
#
# The folder for the results must be one that all machines share. Add --cpus-per-task=N to give each
# part N threads. SHARDS is the number of parts and stays the same when only some of them run again,
# which is why it is not taken from SLURM_ARRAY_TASK_COUNT.
set -eu
exec truerise batch "$1" --out "$2" --shard "$SLURM_ARRAY_TASK_ID/${SHARDS:-4}"
