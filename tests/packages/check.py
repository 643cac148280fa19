"""Validates the data package of `scopetally tables` with the reference library of the standard.

    python -m venv somewhere && somewhere/bin/pip install frictionless pyarrow
    somewhere/bin/python tests/packages/check.py reports/tables

Checks that datapackage.json keeps the rules of Frictionless Data Package, that every CSV file holds
what its schema says (types, required values, closed lists, size, hash), and that size, hash and
column names of the other files are those that the package states. Ends with 1 when one is not so.
"""

import hashlib
import json
import pathlib
import sys

import pyarrow.ipc
import pyarrow.parquet
from frictionless import Package, Resource


def columns(path):
    if path.suffix == ".parquet":
        return pyarrow.parquet.read_schema(path).names
    with pyarrow.ipc.open_file(path) as table:
        return table.schema.names


def main(directory):
    faults = []
    descriptor = json.loads((directory / "datapackage.json").read_text(encoding="utf-8"))
    stated = [resource["path"] for resource in descriptor["resources"]]
    found = sorted(str(path.relative_to(directory)) for path in directory.glob("tables/*"))
    if sorted(stated) != found:
        faults.append(f"the package states {sorted(stated)}, the directory holds {found}")
    faults += [str(error) for error in Package.metadata_validate(descriptor)]
    rows = 0
    for resource in descriptor["resources"]:
        path = directory / resource["path"]
        content = path.read_bytes()
        if len(content) != resource["bytes"]:
            faults.append(f"{path.name}: {len(content)} bytes")
        if "sha256:" + hashlib.sha256(content).hexdigest() != resource["hash"]:
            faults.append(f"{path.name}: another hash")
        if resource["format"] == "csv":
            report = Resource.from_descriptor(resource, basepath=str(directory)).validate()
            faults += [f"{path.name}: {error}" for error in report.flatten(["rowNumber", "note"])]
            rows += sum(task.stats.get("rows", 0) for task in report.tasks)
        elif columns(path) != [field["name"] for field in resource["schema"]["fields"]]:
            faults.append(f"{path.name}: other columns")
    for fault in faults:
        print(fault)
    print(f"{len(stated)} files, {rows} rows of CSV, {len(faults)} faults")
    return 1 if faults or not stated else 0


if __name__ == "__main__":
    sys.exit(main(pathlib.Path(sys.argv[1])))
