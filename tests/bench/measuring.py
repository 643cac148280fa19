"""What the scripts here measure of a command."""

import os
import sys
import time


def measured(command):
    """Wall time, processor time and peak memory in MiB of a command that must succeed."""
    start = time.monotonic()
    command = [str(word) for word in command]
    pid = os.spawnv(os.P_NOWAIT, command[0], command)
    _, status, usage = os.wait4(pid, 0)
    wall = time.monotonic() - start
    # Data quality beyond a limit ends with 1, and is measured like any other run.
    if os.waitstatus_to_exitcode(status) not in (0, 1):
        sys.exit(f"{command[1:3]} ended with {status}")
    return wall, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024
