"""Times `review` on 50 sites over ten years, and on the sample as it is, in turns.

    python3 tests/bench/many_sites.py target/release/scopetally [cases] [turns]

Needs Python alone. The sites are invented: the cases of a larger sample are dealt out to 50 names by
a fixed rule, so every site has about as many. Prints wall time, processor time and peak memory of
each turn, and the medians.
"""

import csv
import pathlib
import statistics
import subprocess
import sys
import tempfile

from measuring import measured

SITES = [f"{tree} {number}" for tree in ("Alder", "Birch", "Cedar", "Elm", "Fir") for number in range(1, 11)]


def deal_out(directory):
    """Writes cases with another site in each row; the case numbers stay."""
    source = directory / "cases.csv"
    target = directory / "cases_50.csv"
    with source.open(newline="", encoding="utf-8") as rows, target.open("w", newline="", encoding="utf-8") as out:
        reader, writer = csv.reader(rows, delimiter=";"), csv.writer(out, delimiter=";", lineterminator="\n")
        heading = next(reader)
        place = heading.index("Site")
        writer.writerow(heading)
        for number, row in enumerate(reader):
            # 7 and 50 have no common divisor, so that months and sites do not go in step.
            row[place] = SITES[number * 7 % len(SITES)]
            writer.writerow(row)
    return target


def main():
    program = str(pathlib.Path(sys.argv[1]).resolve())
    cases = int(sys.argv[2]) if len(sys.argv) > 2 else 75_000
    turns = int(sys.argv[3]) if len(sys.argv) > 3 else 3
    with tempfile.TemporaryDirectory() as work:
        work = pathlib.Path(work)
        subprocess.run(
            [program, "sample", "--out", work / "many", "--cases", str(cases), "--months", "120", "--from", "2016-10"],
            check=True,
            stdout=subprocess.DEVNULL,
        )
        subprocess.run([program, "sample", "--out", work / "few"], check=True, stdout=subprocess.DEVNULL)
        runs = {
            "900 cases, 3 sites, 2 years": work / "few" / "cases.csv",
            f"{cases} cases, 50 sites, 10 years": deal_out(work / "many"),
        }
        seen = {name: [] for name in runs}
        for _ in range(turns):
            for name, export in runs.items():
                command = [program, "review", "--quiet", "--cases", str(export)]
                command += ["--passes", str(export.parent / "passes.csv")]
                command += ["--mapping", str(export.parent / "mapping.toml"), "--out", str(work / "out")]
                seen[name].append(measured(command))
        for name, turns_of in seen.items():
            for wall, processor, memory in turns_of:
                print(f"{name}: {wall:.2f} s, {processor:.2f} s of processors, {memory:.0f} MB")
            print(f"{name}: median {statistics.median(turn[0] for turn in turns_of):.2f} s")


main()
