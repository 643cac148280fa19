"""Holds an engine to the counts of scopetally, over the invented sample.

Knows no engine: the two scripts beside this one hand in how theirs runs the printed SQL. The tables
are compared by DuckDB, which reads both sides and had no part in making either where Spark counted.
"""

import json
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import duckdb

REPOSITORY = Path(__file__).resolve().parents[2]
SAMPLE = REPOSITORY / "sample_data"
RECORDS = ("cases", "passes", "observed", "observed_hours")
TABLES = ("shares", "minutes", "passes", "events")


def check(scopetally, dialect, count):
    """Counts the sample twice, by scopetally and by `count(records, statements, target)`, which gives
    the four tables as Parquet, and compares the counts and the reports made from them."""
    scopetally = str(Path(scopetally).resolve())
    with tempfile.TemporaryDirectory() as directory:
        directory = Path(directory)
        for name in ("own", "engine"):
            (directory / name).mkdir()
        run(
            [
                scopetally, "counts", "--quiet", "--records", "--out", "counted",
                "--cases", SAMPLE / "cases.csv", "--passes", SAMPLE / "passes.csv",
                "--mapping", SAMPLE / "mapping.toml",
            ],
            directory / "own",
        )
        own = directory / "own" / "counted"
        records = own / "internal" / "records"
        printed = run([scopetally, "counts", "--print-sql", dialect], directory)
        engine = directory / "engine" / "counted"
        (engine / "counts").mkdir(parents=True)
        started = time.monotonic()
        count(records, statements(printed), engine / "counts")
        seconds = time.monotonic() - started
        # What became of the rows is not the engine's to say: the record of the run that read them
        # goes with the counts.
        shutil.copy(own / "run.json", engine / "run.json")
        rows = sum(compare(own / "counts", engine / "counts", table) for table in TABLES)
        files = compare_reports(scopetally, directory)
    print(
        f"{dialect}: {rows} rows of counts in {seconds:.1f} s, equal to scopetally's; "
        f"{files} files of the reports made from them equal to the byte"
    )


def statements(script):
    """The statements of a script; each ends with `;` at the end of a line."""
    return [part for part in script.rstrip().rstrip(";").split(";\n") if part.strip()]


def compare(own, engine, table):
    """Ends with an error unless both sides hold the same rows, each as often."""
    own, engine = (f"read_parquet('{side / table}.parquet')" for side in (own, engine))
    database = duckdb.connect()
    columns = [row[0] for row in database.execute(f"describe from {own}").fetchall()]
    found = [row[0] for row in database.execute(f"describe from {engine}").fetchall()]
    assert found == columns, f"{table} has columns {found} instead of {columns}"
    for left, right, words in ((own, engine, "are missing"), (engine, own, "are too many")):
        query = f"(from {left}) except all (from {right})"
        rows = database.execute(f"select count(*) from ({query})").fetchall()[0][0]
        if rows:
            print(*database.execute(f"from ({query}) order by all limit 20").fetchall(), sep="\n")
            raise SystemExit(f"{table}: {rows} rows {words}")
    return database.execute(f"select count(*) from {own}").fetchall()[0][0]


def compare_reports(scopetally, directory):
    """Reviews both counts, and ends with an error unless every file is the same but for what
    they say of the files that were read."""
    sides = {}
    for name in ("own", "engine"):
        run(
            [
                scopetally, "review", "--quiet", "--out", "report", "--counts", "counted",
                "--mapping", SAMPLE / "mapping.toml",
            ],
            directory / name,
        )
        report = directory / name / "report"
        sides[name] = {
            str(path.relative_to(report)): path.read_bytes()
            for path in report.rglob("*")
            if path.is_file()
        }
        # Engines write Parquet differently, so the files that were read have other hashes and sizes:
        # in the record of the run, in the list of inputs of the page, and throughout the PDF.
        record = json.loads(sides[name]["run.json"])
        for read in record.pop("inputs"):
            page = sides[name]["report.html"]
            sides[name]["report.html"] = page.replace(read["sha256"].encode(), b"")
        sides[name]["run.json"] = json.dumps(record).encode()
        del sides[name]["report.pdf"]
    own, engine = sides["own"], sides["engine"]
    assert "tables/findings.csv" in own and "report.html" in own
    different = sorted(
        name for name in own.keys() | engine.keys() if own.get(name) != engine.get(name)
    )
    if different:
        raise SystemExit(f"the reports differ in {', '.join(different)}")
    return len(own)


def run(command, directory):
    """What the command printed; ends with an error where it fails."""
    ended = subprocess.run(
        [str(word) for word in command], cwd=directory, capture_output=True, text=True
    )
    if ended.returncode != 0:
        raise SystemExit(f"{command[1]} ended with {ended.returncode}: {ended.stderr}")
    return ended.stdout
