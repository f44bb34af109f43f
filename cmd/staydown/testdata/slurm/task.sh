#!/bin/sh
# One task of the array: staydown takes its part of the programs from the variables that the scheduler sets.
# Submit with: sbatch --array=0-7 task.sh FOLDER OUT, and when all tasks have ended: staydown join OUT/* -o RESULT
#SBATCH --job-name=staydown
#SBATCH --cpus-per-task=1
set -u
status=0
staydown check "$1" -o "$2/$SLURM_ARRAY_TASK_ID" --no-progress -j 1 || status=$?
# 1 says that there are findings, which is no failure of the task.
[ "$status" -le 1 ] || exit "$status"
