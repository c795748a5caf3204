"""Prints the size of the program, and the time and peak memory of what is done with it most.

    sizes.py PROGRAM
"""

import os
import subprocess
import sys
import tempfile
import time


def spent(arguments, folder):
    """Seconds and peak resident MiB of one run; a run that ends with more than 1 fails."""
    begun = time.monotonic()
    process = subprocess.Popen(arguments, cwd=folder, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
    process.stderr.read()
    _, status, usage = os.wait4(process.pid, 0)
    if os.waitstatus_to_exitcode(status) > 1:
        sys.exit(f"{' '.join(arguments)}: exit {os.waitstatus_to_exitcode(status)}")
    return time.monotonic() - begun, usage.ru_maxrss / 1024


def main():
    program = os.path.abspath(sys.argv[1])
    here = os.getcwd()
    print(f"the program: {os.path.getsize(program) / 2**20:.1f} MiB")
    with tempfile.TemporaryDirectory() as jobs:
        for words in (
            ["--version"],
            ["check", "tern/no-lift-no-tilt"],
            ["check", "--faults", "tern/no-lift-no-tilt"],
            ["predict", "heron/machine", "--format", "json"],
            ["faults", "heron/machine"],
            ["walk", "tern/no-lift-no-tilt", "--answers", "demo/no-lift.answers.yaml", "--jobs", jobs, "--job", "a"],
            ["report", "a", "--jobs", jobs, "--for", "shop", "--format", "html"],
        ):
            seconds, mebibytes = spent([program, *words], here)
            shown = " ".join(word for word in words if word != jobs)
            print(f"{seconds:7.3f} s {mebibytes:6.1f} MiB  loomwalk {shown}")


main()
