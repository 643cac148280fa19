"""How long reading and checking the cases of an export takes: scopetally beside DuckDB, in one run.

    python3.11 -m venv ~/bench-venv && ~/bench-venv/bin/pip install duckdb
    cargo build --release
    ~/bench-venv/bin/python tests/bench/read_cases.py

Both read the same invented file of `scopetally sample` (3.8 GB for 10 million cases, 69 columns), kept below
--data. They take turns, each time in a fresh process on the same --threads cores, the file in
the page cache. The run fails unless both count the same rows in the file and find the same each
time. Linux only.

scopetally (`scopetally check`, no passes):
  - types cells: local times to UTC minutes by zone and summer time, ages within bounds, coded
    words to codes by the mapping; a cell that cannot be used is an issue, and its row stays;
  - checks the order of times and unusual intervals; finds rows and keys that come twice;
  - derives shift, age group and month, accounts for every row, prints the issues by place.
DuckDB (`create table ... from read_csv` in memory, types given):
  - types cells: times by the same format to TIMESTAMP without a zone, age and numbers to BIGINT or
    DOUBLE, all others to VARCHAR as they stand; keeps all 69 columns, so any query may follow;
  - rejects a row whose cell cannot be typed, whole, and stores why and where;
  - looks up no word, compares no times and no rows, knows no zone: it does less than the above.

In favor of DuckDB: its seconds run from opening the database to the counts of rows and rejects,
without Python's start and the end of the process; those of scopetally are of the whole process.
It is measured twice: as it comes, keeping the order of the file as scopetally does, and allowed
any order, which takes it a fifth to a quarter less CPU. The sample writes ages from 90 on as `90+`, and a plain BIGINT would reject one
row in fifty; so the cell is read as a word, `90+` becomes 90, and a strict cast does the rest:
any other word would end the run. Nothing spills to disk: the table needs 3 GB for 10 million
cases. Peak memory is that of the process, on DuckDB's side with Python.
"""

import argparse
import importlib.util
import json
import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path

TREE = Path(__file__).resolve().parents[2]
ACCOUNT = re.compile(
    r"^cases +([\d,]+) rows read = ([\d,]+) accepted \+ ([\d,]+) set aside \+ ([\d,]+) duplicates?",
    re.MULTILINE,
)
ISSUES = re.compile(r"^issues +(.+)$", re.MULTILINE)

WHOLE_NUMBERS = {"overtube_pass", "transfused_units", "systolic", "pulse"}
DECIMALS = {"urea", "hemoglobin", "albumin", "inr"}


@dataclass
class Run:
    """One process: seconds on the clock, seconds of CPU (user and system), peak memory in MiB."""

    wall: float
    cpu: float
    peak: float
    rows_in_file: int
    found: tuple[str, str]  # what became of the rows, and the faults, as words for the table


def main() -> None:
    options = parse_arguments()
    if options.load:
        print(json.dumps(load_with_duckdb(options)))
        return
    if importlib.util.find_spec("duckdb") is None:
        sys.exit("no module duckdb: the head of this file makes a venv that has it")
    if not options.binary.is_file():
        sys.exit(f"no {options.binary}: build it with cargo build --release")
    cores = sorted(os.sched_getaffinity(0))[: options.threads]
    if len(cores) != options.threads:
        sys.exit(f"--threads {options.threads}, but this process may use {len(cores)} cores")
    folder = sample(options.binary, options.data, options.cases)
    size = warm(folder / "cases.csv")

    os.sched_setaffinity(0, cores)  # both sides inherit it
    load_before = os.getloadavg()[0]
    duckdb = f"DuckDB {version('duckdb')}"
    sides = {
        "scopetally check": lambda: run_scopetally(options, folder),
        duckdb: lambda: run_duckdb(options, folder, "--keep-order"),
        f"{duckdb}, any order": lambda: run_duckdb(options, folder),
    }
    runs: dict[str, list[Run]] = {name: [] for name in sides}
    for number in range(1, options.runs + 1):
        for name, run in sides.items():
            runs[name].append(run())
            now, first = runs[name][-1], runs[name][0]
            if now.found != first.found:
                sys.exit(f"{name} found now: {now}\nat first: {first}")
        seconds = ", ".join(f"{name} {taken[-1].wall:.1f} s" for name, taken in runs.items())
        print(f"run {number} of {options.runs}: {seconds}", file=sys.stderr)
    rows_in_file = {taken[0].rows_in_file for taken in runs.values()}
    if len(rows_in_file) != 1:
        sys.exit(f"not the same number of rows in the file: {rows_in_file}")

    print(
        f"{rows_in_file.pop():,} rows, {size / 1e9:.2f} GB; {options.threads} cores;"
        f" load average {load_before:.1f} before, {os.getloadavg()[0]:.1f} after;"
        f" median of {options.runs} (least–most)\n"
    )
    print_table(runs)


def parse_arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(
        description="Time to read and check the cases of an export, scopetally beside DuckDB.",
        formatter_class=argparse.ArgumentDefaultsHelpFormatter,
    )
    binary, data = TREE / "target/release/scopetally", TREE / "target/bench_data"
    parser.add_argument("--cases", type=int, default=10_000_000, help="number of cases")
    parser.add_argument("--runs", type=int, default=5, help="runs of each side")
    parser.add_argument("--threads", type=int, default=2, help="cores for each side")
    parser.add_argument("--binary", type=Path, default=binary, help="scopetally, a release build")
    parser.add_argument("--data", type=Path, default=data, help="where the samples are kept")
    for hidden in [{"dest": "load", "type": Path}, {"dest": "keep_order", "action": "store_true"}]:
        option = "--" + hidden["dest"].replace("_", "-")  # for the process of DuckDB
        parser.add_argument(option, help=argparse.SUPPRESS, **hidden)
    options = parser.parse_args()
    if min(options.cases, options.runs, options.threads) < 1:
        parser.error("--cases, --runs and --threads are 1 or more")
    return options


def sample(binary: Path, data: Path, cases: int) -> Path:
    """The folder of the sample of that size; it gets its name once it is complete."""
    folder = data / str(cases)
    if not folder.is_dir():
        data.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=data, prefix="partial-") as partial:
            out = Path(partial) / "sample"
            command = [binary, "sample", "--out", out, "--cases", str(cases)]
            subprocess.run(command, check=True, stdout=sys.stderr)
            out.rename(folder)
    return folder


def warm(file: Path) -> int:
    """Reads the file once, so that no side is the first to fetch it from disk; its length."""
    length = 0
    with file.open("rb", buffering=0) as stream:
        while block := stream.read(1 << 20):
            length += len(block)
    return length


def run_scopetally(options: argparse.Namespace, folder: Path) -> Run:
    files = ["--cases", folder / "cases.csv", "--mapping", folder / "mapping.toml"]
    command = [options.binary, "check", "--threads", str(options.threads), *files]
    output, wall, usage = finish(command)
    account, issues = ACCOUNT.search(output), ISSUES.search(output)
    if account is None:
        sys.exit(f"scopetally did not account for its rows:\n{output}")
    read, accepted, aside, duplicates = (int(n.replace(",", "")) for n in account.groups())
    rows = f"{accepted:,} accepted, {aside:,} set aside, {duplicates:,} duplicates"
    faults = issues.group(1) if issues else "none"
    cpu, peak = usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024
    return Run(wall, cpu, peak, read, (rows, faults))


def run_duckdb(options: argparse.Namespace, folder: Path, *order: str) -> Run:
    threads = ["--threads", str(options.threads)]
    command = [sys.executable, __file__, "--load", folder, *threads, *order]
    output, _, usage = finish(command)
    found = json.loads(output)
    rows = f"{found['rows']:,} in the table, {found['rejected']:,} rejected"
    faults = ", ".join(f"{kind} {count:,}" for kind, count in found["faults"]) or "none"
    read, peak = found["rows"] + found["rejected"], usage.ru_maxrss / 1024
    return Run(found["wall"], found["cpu"], peak, read, (rows, faults))


def finish(command: list) -> tuple[str, float, resource.struct_rusage]:
    """What the process wrote to either stream, its seconds on the clock, and what it used."""
    with tempfile.TemporaryFile() as output:
        began = time.perf_counter()
        process = subprocess.Popen(command, stdout=output, stderr=subprocess.STDOUT)
        _, status, usage = os.wait4(process.pid, 0)
        wall = time.perf_counter() - began
        process.returncode = os.waitstatus_to_exitcode(status)
        output.seek(0)
        text = output.read().decode()
    if process.returncode != 0:
        sys.exit(f"{command[0]} ended with {process.returncode}:\n{text}")
    return text, wall, usage


def load_with_duckdb(options: argparse.Namespace) -> dict:
    """Loads the cases into a typed table; runs in a process of its own."""
    import duckdb  # here, so that the measuring process stays small

    folder = options.load
    cases = tomllib.loads((folder / "mapping.toml").read_text())["cases"]
    fields = {heading: field for field, heading in cases["columns"].items()}
    with (folder / "cases.csv").open() as stream:
        headings = stream.readline().rstrip("\n").split(cases["separator"])
    names = [fields[heading] for heading in headings]
    types = {name: type_of(name) for name in names}
    age = "cast(case age_years when '90+' then '90' else age_years end as bigint) as age_years"
    load = f"""
        create table cases as
        select * replace ({age})
        from read_csv(
            $file, columns = {types}, auto_detect = false, header = true, delim = $separator,
            quote = '"', escape = '"', nullstr = $missing, timestampformat = $time_format,
            store_rejects = true, rejects_limit = 0
        )
    """
    settings = {
        "threads": options.threads,
        "temp_directory": "",
        "preserve_insertion_order": options.keep_order,
    }
    values = {
        "file": str(folder / "cases.csv"),
        "separator": cases["separator"],
        "missing": ["", *cases["missing"]],
        "time_format": cases["time_format"],
    }

    began, cpu_began = time.perf_counter(), time.process_time()
    with duckdb.connect(":memory:", config=settings) as database:
        database.execute(load, values)
        rows, rejected = database.execute(
            "select (select count(*) from cases), (select count(distinct line) from reject_errors)"
        ).fetchone()
        faults = database.execute(
            "select concat_ws(' in ', error_type, column_name), count(*) from reject_errors"
            " group by all order by all"
        ).fetchall()
        wall, cpu = time.perf_counter() - began, time.process_time() - cpu_began
    return {"wall": wall, "cpu": cpu, "rows": rows, "rejected": rejected, "faults": faults}


def type_of(field: str) -> str:
    """The type of a field in the table of DuckDB."""
    if field.endswith("_at"):
        return "TIMESTAMP"
    if field in DECIMALS:
        return "DOUBLE"
    if field in WHOLE_NUMBERS or field.endswith(("_days", "_mm")) or field.startswith("exported_"):
        return "BIGINT"
    return "VARCHAR"


def print_table(sides: dict[str, list[Run]]) -> None:
    print("| | wall s | CPU s | peak MiB | rows | faults |")
    print("|---|---|---|---|---|---|")
    for name, runs in sides.items():
        wall, cpu = spread([run.wall for run in runs], 1), spread([run.cpu for run in runs], 1)
        peak = spread([run.peak for run in runs], 0)
        print(f"| {name} | {wall} | {cpu} | {peak} | {' | '.join(runs[0].found)} |")
    (_, ours), *others = [
        (name, statistics.median(run.wall for run in runs)) for name, runs in sides.items()
    ]
    for name, theirs in others:
        print(f"\nWall time of scopetally by that of {name}, medians: {ours / theirs:.2f}")


def spread(values: list[float], digits: int) -> str:
    middle, least, most = statistics.median(values), min(values), max(values)
    return f"{middle:,.{digits}f} ({least:,.{digits}f}–{most:,.{digits}f})"


if __name__ == "__main__":
    main()
