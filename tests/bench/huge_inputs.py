"""Inputs that are far too large in one way each must end in an error, or be read, in little memory.

    python3 tests/bench/huge_inputs.py target/release/scopetally [--small]

Writes each file to a temporary directory (up to 1 GB; a sixteenth of it with --small), checks it,
and prints the exit code, the peak of memory, the time and the message. Ends with 1 when a peak is
above 200 MB or an exit code is not the expected one. Needs nothing but Python 3 on Linux.
"""

import gzip
import os
import subprocess
import sys
import tempfile
import time
from itertools import chain

MOST_KILOBYTES = 200_000
HEADER = "Case,Site,Reason,Called,Object"
ROW = "K{},Alder,food_impaction,2026-03-01 10:00,coin"
MAPPING = """
[cases]
time_form = "clock"
time_zone = "America/Chicago"
time_format = "%Y-%m-%d %H:%M"
[cases.columns]
case_id = "Case"
site = "Site"
presentation = "Reason"
called_at = "Called"
object_type = "Object"
"""


def parts(text, size):
    """The text over and over, in pieces of about a megabyte, `size` bytes in all."""
    piece = text * max(1, (1 << 20) // len(text))
    for _ in range(size // len(piece)):
        yield piece


def rows(size):
    """Good rows, about `size` bytes of them."""
    written, number = 0, 1
    while written < size:
        piece = "".join(ROW.format(number + k) + "\n" for k in range(10_000))
        number += 10_000
        written += len(piece)
        yield piece


def inputs(share):
    """Name, exit code expected, pieces of text, and how to open the file."""
    giga, mega = int(1e9 * share), int(1e6 * share)
    head = HEADER + "\n" + ROW.format(0) + "\n"
    yield "one line without end", 2, parts("x", giga), open
    yield "one row without end", 2, chain([head], parts("x", giga)), open
    yield "one row of separators", 2, chain([head], parts(",", giga)), open
    yield "rows of 15 MiB", 0, (
        piece for _ in range(16) for piece in (head, "x" * (15 << 20), "\n")
    ), open
    yield "rows of 15 MiB of separators", 0, (
        piece for _ in range(8) for piece in (head, "," * (15 << 20), "\n")
    ), open
    yield "a million columns", 2, (
        [HEADER + ",a" * 1_000_000 + "\n"] + [ROW.format(k) + ",b" * 1_000_000 + "\n" for k in range(20)]
    ), open
    yield "four thousand columns", 0, (
        piece
        for k in range(int(10_000 * share))
        for piece in ((HEADER if k == 0 else ROW.format(k)) + ",b" * 4_000, "\n")
    ), open
    yield "a header longer than the sample", 2, [HEADER + ",column" * 1_000_000 + "\n" + head], open
    yield "a quote that never closes", 2, chain([head, ROW.format("1,\"")], rows(300 * mega)), open
    yield "a quote that opens in the last row", 2, chain([head], rows(int(60e6 * share)), ["K,\"open"]), open
    yield "a bomb of blanks", 2, parts(" ", 500 * mega), gzip.open
    yield "a bomb of blanks below rows", 2, chain([head], parts(" ", 500 * mega)), gzip.open
    yield "a bomb of blank lines", 2, parts("\n", 500 * mega), gzip.open
    yield "a bomb of blank lines below rows", 0, chain([head], parts("\n", 500 * mega)), gzip.open
    yield "an error in every row", 1, (piece.replace("coin", "xyz") for piece in rows(int(60e6 * share))), None


def kilobytes(pid):
    """The most memory that a process has had; 0 once it has ended."""
    try:
        with open(f"/proc/{pid}/status") as status:
            return next((int(line.split()[1]) for line in status if line.startswith("VmHWM")), 0)
    except OSError:
        return 0


def main():
    binary = os.path.abspath(sys.argv[1])
    share = 1 / 16 if "--small" in sys.argv else 1
    failed = False
    for name, expected, pieces, opener in inputs(share):
        with tempfile.TemporaryDirectory() as directory:
            with open(os.path.join(directory, "mapping.toml"), "w") as mapping:
                mapping.write(MAPPING)
            with (opener or open)(os.path.join(directory, "cases.csv"), "wt") as file:
                if opener is None:
                    file.write(HEADER + "\n")
                for piece in pieces:
                    file.write(piece)
            begun = time.time()
            command = [binary, "check", "--quiet", "--cases", "cases.csv", "--mapping", "mapping.toml"]
            with open(os.path.join(directory, "said"), "w+") as said:
                run = subprocess.Popen(command, cwd=directory, stdout=said, stderr=said)
                peak = 0
                # What wait4 says would hold the memory of this script before the other began.
                while run.poll() is None:
                    peak = max(peak, kilobytes(run.pid))
                    time.sleep(0.01)
                said.seek(0)
                first = said.readline().strip()
            code = run.returncode
            is_wrong = code != expected or peak > MOST_KILOBYTES
            failed |= is_wrong
            mark = "WRONG" if is_wrong else "ok"
            print(f"{mark:5} {name}: exit {code}, {peak // 1000} MB, {time.time() - begun:.1f} s: {first}", flush=True)
    sys.exit(failed)


main()
