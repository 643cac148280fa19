"""Measures how counting grows: beside DuckDB on CSV, and alone on Parquet from 10^4 cases on.

    python3 -m venv venv && venv/bin/pip install duckdb
    venv/bin/python tests/bench/scale.py target/release/scopetally data [--cases 10000000]
        [--most 100000000] [--turns 3]

`data` is a directory for what is made once and used again: about 5 GB for 10 million cases, and 2 GB
more for every 10 million of `--most`. Nothing else should run on the machine.

Both sides start from the same CSV of cases and end with the same count tables: every measure below
`sql/measures` by every grouping of `sql/groupings.csv`, which are compared row by row. DuckDB loads the
CSV with `read_csv(store_rejects)`. The measures need typed records (codes, moments, windows, scores),
which a load does not give; DuckDB gets them as a table of its own, made before the clock starts, so its
side does less. It counts each measure by one query with `grouping sets`, the fastest form that we found:
every measure is read once, and not once for each grouping. Scopetally reads, types, checks and counts,
and makes the findings and their tables as well (`tables`).
"""

import argparse
import csv
import pathlib
import shutil
import statistics
import sys
import time

from measuring import measured

REPOSITORY = pathlib.Path(__file__).resolve().parents[2]
MOST_RATIO = 0.5
MOST_CSV_MIB = 2048
MOST_PARQUET_MIB = 4096
MIB = 1 << 20


def shown(name, runs):
    medians = [statistics.median(column) for column in zip(*runs)]
    print(f"{name:34} {medians[0]:8.1f} s  {medians[1]:8.1f} s CPU  {medians[2]:7.0f} MiB", flush=True)
    return medians


def reading_alone(path):
    """Seconds to read the bytes of a file and do nothing with them."""
    start = time.monotonic()
    buffer = bytearray(MIB)
    with open(path, "rb", buffering=0) as file:
        while file.readinto(buffer):
            pass
    return time.monotonic() - start


# What DuckDB runs, in a process of its own.


def definitions():
    for path in sorted((REPOSITORY / "sql" / "measures").glob("*.sql")):
        lines = path.read_text(encoding="utf-8").splitlines()
        header = dict(line[3:].split(":", 1) for line in lines if line.startswith("--"))
        sql = "\n".join(line for line in lines if not line.startswith("--"))
        yield header["id"].strip(), header["kind"].strip(), sql


def groupings(kind, selected):
    with open(REPOSITORY / "sql" / "groupings.csv", newline="", encoding="utf-8") as table:
        for row in csv.DictReader(table):
            by = [] if row["by"] == "all" else row["by"].split("+")
            columns = by + (["month"] if row["month"] == "each" else [])
            if row["kind"] == kind and all(column in selected for column in columns):
                yield row["by"], by, row["month"] == "each"


HIT = "case when eligible = 1 then hit else 0 end"


def counting_query(measure, kind, sql, selected):
    """One query that counts a measure by all its groupings."""
    splits = list(groupings(kind, selected))
    columns = sorted({column for _, by, _ in splits for column in by} | {"month"})
    bits = {column: 1 << place for place, column in enumerate(reversed(columns))}
    everything = sum(bits.values())
    inner, extra, sums = {
        "share": ("*", [], "sum(eligible)::bigint as a, sum(hit_)::bigint as b, sum(1 - eligible)::bigint as c"),
        "count": ("*", [], "sum(eligible)::bigint as a, 0::bigint as b, 0::bigint as c"),
        "minutes": (
            "* exclude (minutes, reached), case when eligible = 1 then minutes end as a, "
            "case when eligible = 1 and minutes is not null then reached end as b",
            ["a", "b"],
            "a::bigint as a, b::bigint as b, count(*) as c",
        ),
        "clustered_share": ("*", ["case_id"], "sum(hit_)::bigint as a, sum(eligible)::bigint as b"),
    }[kind]
    if kind in ("share", "clustered_share"):
        inner += f", {HIT} as hit_"
    sets, names, groups, months = [], [], [], []
    for name, by, is_monthly in splits:
        own = by + (["month"] if is_monthly else [])
        sets.append(f"({', '.join(own + extra)})")
        number = everything - sum(bits[column] for column in own)
        names.append(f"when {number} then '{name}'")
        values = [f"coalesce({column}::varchar, 'not_recorded')" for column in by]
        joined = " || '|' || ".join(values) if values else "'all'"
        groups.append(f"when {number} then {joined}")
        if is_monthly:
            months.append(str(number))
    grouped = (
        f"select {', '.join(columns)}, grouping_id({', '.join(columns)}) as g, "
        f"{'case_id, ' if 'case_id' in extra else ''}{sums} "
        f"from (select {inner} from ({sql})) group by grouping sets ({', '.join(sets)})"
    )
    if kind == "clustered_share":
        grouped = f"select {', '.join(columns)}, g, a, b, count(*) as c from ({grouped}) group by all"
    is_monthly = f"g in ({', '.join(months)})"
    return (
        f"select '{measure}' as measure, case g {' '.join(names)} end as split, "
        f"case g {' '.join(groups)} end as grp, "
        f"case when {is_monthly} then month else 'all' end as mon, a, b, c "
        f"from ({grouped}) where not ({is_monthly}) or month is not null"
    )


def in_duckdb(data, csv_path):
    """Loads the CSV, and counts the records into `theirs.parquet`."""
    import duckdb

    scratch = data / "scratch.duckdb"
    scratch.unlink(missing_ok=True)
    database = duckdb.connect(str(scratch))
    start = time.monotonic()
    database.execute(
        f"create table raw as from read_csv('{csv_path}', delim = ';', header = true, store_rejects = true)"
    )
    loaded = time.monotonic()
    database.execute(f"attach '{data / 'records.duckdb'}' as records (read_only)")
    database.execute("use records")
    database.execute(
        "create table scratch.counted (kind varchar, measure varchar, split varchar, grp varchar, "
        "mon varchar, a bigint, b bigint, c bigint)"
    )
    for measure, kind, sql in definitions():
        selected = {row[0] for row in database.execute(f"describe ({sql})").fetchall()}
        query = counting_query(measure, kind, sql, selected)
        database.execute(f"insert into scratch.counted select '{kind}', * from ({query})")
    print(f"    duckdb: load {loaded - start:.1f} s, measures {time.monotonic() - loaded:.1f} s", flush=True)
    database.execute(f"copy scratch.counted to '{data / 'theirs.parquet'}'")
    database.close()
    scratch.unlink()


def check_equal(counts, theirs):
    """Ends with an error unless both sides counted the same."""
    import duckdb

    database = duckdb.connect()
    key = "measure, \"by\", \"group\", \"month\""
    own = {
        "share": ("shares", "eligible, hit, excluded", "eligible + excluded > 0", "a + c > 0"),
        "count": ("events", "events, 0, 0", "events > 0", "a > 0"),
        "minutes": ("minutes", "minutes, reached, cases", "true", "true"),
        "clustered_share": ("passes", "events, attempts, cases", "true", "true"),
    }
    rows = 0
    for kind, (table, columns, is_ours, is_theirs) in own.items():
        ours = f"select {key}, {columns} from read_parquet('{counts / table}.parquet') where {is_ours}"
        found = (
            f"select measure, split, grp, mon, a, b, sum(c)::bigint from read_parquet('{theirs}') "
            f"where kind = '{kind}' and ({is_theirs}) group by all"
        )
        for one, other in ((ours, found), (found, ours)):
            wrong = database.execute(f"select count(*) from (({one}) except all ({other}))").fetchall()[0][0]
            if wrong:
                print(*database.execute(f"({one}) except all ({other}) limit 5").fetchall(), sep="\n")
                sys.exit(f"{table}: {wrong} rows differ")
        rows += database.execute(f"select count(*) from ({ours})").fetchall()[0][0]
    print(f"{rows} rows of counts are equal", flush=True)


# The data, made once.


def sample(program, data, cases):
    directory = data / f"sample_{cases}"
    if not directory.exists():
        measured([program, "sample", "--out", directory, "--cases", cases])
    return directory


def records(program, data, cases):
    """Typed records of so many cases, as `counts --records` writes them."""
    directory = data / f"records_{cases}"
    if not directory.exists():
        source = sample(program, data, cases)
        measured(
            [program, "counts", "--records", "--quiet", "--out", directory]
            + ["--cases", source / "cases.csv", "--mapping", source / "mapping.toml"]
        )
    return directory


def repeated(program, data, cases, times):
    """Records that hold those of `cases` cases several times under other numbers."""
    import duckdb
    import json

    if times == 1:
        return records(program, data, cases)
    directory = data / f"records_{cases * times}"
    if directory.exists():
        return directory
    source = records(program, data, cases)
    making = data / "making"
    shutil.rmtree(making, ignore_errors=True)
    shutil.copytree(source, making, ignore=shutil.ignore_patterns("cases.parquet", "counts"))
    parts = [
        f"select * replace ('{time}-' || case_id as case_id) "
        f"from read_parquet('{source / 'internal/records/cases.parquet'}')"
        for time in range(times)
    ]
    database = duckdb.connect()
    database.execute("set memory_limit = '4GB'")
    # To keep the order of so many parts it would write them all to a second place first.
    database.execute("set preserve_insertion_order = false")
    target = making / "internal/records/cases.parquet"
    database.execute(
        f"copy ({' union all '.join(parts)}) to '{target}' (format parquet, row_group_size 122880)"
    )
    run = json.loads((making / "run.json").read_text(encoding="utf-8"))
    for measure in run["flow"]:
        measure["population"] *= times
        measure["not_of_population"] *= times
    for rows in ("read", "accepted", "set_aside", "duplicates"):
        run["accounting"]["cases"][rows] *= times
    (making / "run.json").write_text(json.dumps(run), encoding="utf-8")
    making.rename(directory)
    return directory


def beside_duckdb(program, data, cases, turns):
    import duckdb

    source = sample(program, data, cases)
    csv_path, mapping = source / "cases.csv", source / "mapping.toml"
    typed = records(program, data, cases) / "internal" / "records"
    database = data / "records.duckdb"
    database.unlink(missing_ok=True)
    with duckdb.connect(str(database)) as making:
        for table in ("cases", "passes"):
            making.execute(f"create table {table} as from read_parquet('{typed / table}.parquet')")
    ours, theirs, reading = [], [], []
    for turn in range(turns):
        out = data / "out"
        ours.append(measured([program, "tables", "--quiet", "--out", out, "--cases", csv_path, "--mapping", mapping]))
        theirs.append(measured([sys.executable, __file__, "--duckdb", data, csv_path]))
        reading.append(measured([program, "check", "--quiet", "--cases", csv_path, "--mapping", mapping]))
        if turn == 0:
            counts = data / "counts"
            measured([program, "counts", "--quiet", "--out", counts, "--cases", csv_path, "--mapping", mapping])
            check_equal(counts / "counts", data / "theirs.parquet")
    print(f"{cases} cases, {csv_path.stat().st_size / 1e9:.2f} GB of CSV, medians of {turns}")
    own = shown("scopetally: CSV to findings", ours)
    other = shown("DuckDB: load and measures", theirs)
    shown("scopetally: reading and typing", reading)
    print(f"the bytes alone {reading_alone(csv_path):.1f} s")
    ratio = own[0] / other[0]
    print(f"ours / theirs: {ratio:.2f} wall, {own[1] / other[1]:.2f} CPU; at most {MOST_RATIO} wall")
    of_turns = sorted(own[0] / other[0] for own, other in zip(ours, theirs))
    print("    wall by turn: " + ", ".join(f"{of_turn:.2f}" for of_turn in of_turns))
    database.unlink()
    return ratio <= MOST_RATIO and own[2] < MOST_CSV_MIB


def growth(program, data, most, largest, turns):
    """Cost for each case from 10^4 cases on, from Parquet."""
    is_good, sizes = True, []
    size = 10_000
    while size <= most:
        sizes.append(size)
        size *= 10
    for size in sizes:
        base = min(size, largest)
        directory = repeated(program, data, base, size // base)
        mapping = sample(program, data, base) / "mapping.toml"
        command = [program, "tables", "--quiet", "--out", data / "out", "--from-records", directory, "--mapping", mapping]
        medians = shown(f"{size} cases from Parquet", [measured(command) for _ in range(turns)])
        print(f"    {medians[1] / size * 1e6:.2f} microseconds of CPU a case", flush=True)
        is_good = is_good and medians[2] < MOST_PARQUET_MIB
    return is_good


def main():
    if sys.argv[1] == "--duckdb":
        in_duckdb(pathlib.Path(sys.argv[2]), sys.argv[3])
        return
    options = argparse.ArgumentParser()
    options.add_argument("program", type=pathlib.Path)
    options.add_argument("data", type=pathlib.Path)
    options.add_argument("--cases", type=int, default=10_000_000)
    options.add_argument("--most", type=int, default=100_000_000)
    options.add_argument("--turns", type=int, default=3)
    given = options.parse_args()
    program = given.program.resolve()
    given.data.mkdir(parents=True, exist_ok=True)
    data = given.data.resolve()
    is_good = beside_duckdb(program, data, given.cases, given.turns)
    is_good = growth(program, data, given.most, given.cases, given.turns) and is_good
    sys.exit(0 if is_good else "a limit was missed")


if __name__ == "__main__":
    main()
