"""Counts the sample on DuckDB with the SQL that scopetally prints, and compares.

    python3 tests/engines/duckdb_counts.py target/release/scopetally

Needs the package `duckdb`.
"""

import sys

import duckdb

from same_counts import RECORDS, TABLES, check


def count(records, statements, target):
    database = duckdb.connect()
    for table in RECORDS:
        database.execute(
            f"create view {table} as from read_parquet('{records / table}.parquet')"
        )
    for statement in statements:
        database.execute(statement)
    for table in TABLES:
        database.execute(f"copy (from count_{table}) to '{target / table}.parquet' (format parquet)")


check(sys.argv[1], "duckdb", count)
