"""Counts the sample on Spark with the SQL that scopetally prints, and compares.

    python3 tests/engines/spark_counts.py target/release/scopetally
    python3 tests/engines/spark_counts.py target/release/scopetally cluster

Needs the packages `pyspark` and `duckdb` (which compares) and Java 17 or later. With `cluster` it starts
a master and two workers, each a process of its own on loopback, and ends them; without, Spark runs in
one process with two threads.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import time
import urllib.request
from pathlib import Path

import pyspark
from pyspark.sql import SparkSession

from same_counts import RECORDS, TABLES, check

PORT, PAGE = 17077, 18081


def count_on(master):
    def count(records, statements, target):
        spark = (
            SparkSession.builder.master(master)
            .appName("counts")
            .config("spark.ui.enabled", "false")
            .config("spark.ui.showConsoleProgress", "false")
            .config("spark.driver.host", "127.0.0.1")
            .config("spark.driver.bindAddress", "127.0.0.1")
            # For a few hundred cases; a group with more leaves it as it is.
            .config("spark.sql.shuffle.partitions", "4")
            .getOrCreate()
        )
        spark.sparkContext.setLogLevel("ERROR")
        for table in RECORDS:
            spark.read.parquet(str(records / f"{table}.parquet")).createOrReplaceTempView(table)
        for statement in statements:
            spark.sql(statement)
        for table in TABLES:
            # Spark writes a directory; the counts of a group fit into one file of it.
            parts = target / f"{table}.parts"
            spark.table(f"count_{table}").coalesce(1).write.parquet(str(parts))
            [part] = parts.glob("part-*.parquet")
            shutil.move(part, target / f"{table}.parquet")
            shutil.rmtree(parts)
        spark.stop()

    return count


class Cluster:
    """A master and two workers on this machine."""

    def __enter__(self):
        self.directory = tempfile.TemporaryDirectory()
        self.processes = []
        master = "org.apache.spark.deploy.master.Master"
        self.start(master, "--host", "127.0.0.1", "--port", PORT, "--webui-port", PAGE)
        for number in (1, 2):
            folder = Path(self.directory.name) / f"worker{number}"
            self.start(
                "org.apache.spark.deploy.worker.Worker", "--host", "127.0.0.1", "--cores", 1,
                "--memory", "1g", "--webui-port", PAGE + number, "--work-dir", folder, self.address,
            )
        self.wait_for_workers()
        return self

    def __exit__(self, *_):
        for process in reversed(self.processes):
            process.terminate()
        for process in self.processes:
            process.wait()
        self.directory.cleanup()

    address = f"spark://127.0.0.1:{PORT}"

    def start(self, name, *arguments):
        home = Path(pyspark.__file__).parent
        log = open(Path(self.directory.name) / f"{len(self.processes)}.log", "w")
        self.processes.append(
            subprocess.Popen(
                [str(home / "bin" / "spark-class"), name, *map(str, arguments)],
                env={**os.environ, "SPARK_HOME": str(home), "SPARK_LOCAL_IP": "127.0.0.1"},
                stdout=log,
                stderr=log,
            )
        )

    def wait_for_workers(self):
        until = time.monotonic() + 120
        while time.monotonic() < until:
            try:
                page = urllib.request.urlopen(f"http://127.0.0.1:{PAGE}/json/", timeout=5).read()
                if page.decode().count('"ALIVE"') >= 3:
                    return
            except OSError:
                pass
            time.sleep(1)
        raise SystemExit("the master and its two workers did not come up within two minutes")


if sys.argv[2:] == ["cluster"]:
    with Cluster() as cluster:
        check(sys.argv[1], "spark", count_on(cluster.address))
else:
    check(sys.argv[1], "spark", count_on("local[2]"))
