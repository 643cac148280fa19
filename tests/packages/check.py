"""Reads what `scopetally tables` writes with other programs. `bash tests/packages/run.sh` makes the tables
of the sample, installs what this needs and runs it; by hand:

    python3 -m venv somewhere
    somewhere/bin/pip install frictionless pyarrow pandas polars openpyxl
    somewhere/bin/python tests/packages/check.py reports/tables

With `--shared` behind the directory, of tables to be passed on: the lines for notebooks are not run, whose
rows may be withheld.

Package: datapackage.json keeps the rules of Frictionless Data Package, every CSV file holds what its schema
says (types, required values, closed lists, size, hash), and size, hash and columns of the other files are
those that the package states. Every column of Parquet and Arrow says unit, definition and method.
Workbook: every sheet, read by openpyxl and by pandas, holds the cells of the CSV file, numbers as numbers,
text as text and no formula.
Notebooks: the lines of README.md for polars, pandas and R, as they stand there, give rows.
Paper: LaTeX sets every table of `papers/` and BibTeX reads the sources.
R and LaTeX are not installed by this; where they are missing it says so and checks the rest.
Ends with 1 when something is not so.
"""

import ast
import csv
import hashlib
import json
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

import openpyxl
import pandas
import pyarrow.ipc
import pyarrow.parquet
from frictionless import Package, Resource

README = pathlib.Path(__file__).resolve().parents[2] / "README.md"


def schema(path):
    if path.suffix == ".parquet":
        return pyarrow.parquet.read_schema(path)
    with pyarrow.ipc.open_file(path) as table:
        return table.schema


def described(path):
    """What is missing in the metadata of the columns."""
    for field in schema(path):
        is_number = str(field.type) in ("int64", "double")
        wanted = {b"definition", b"unit", b"method"} if is_number else {b"definition"}
        said = {key for key, words in (field.metadata or {}).items() if words}
        if not wanted <= said:
            yield f"{path.name}: {field.name} lacks {sorted(wanted - said)}"


def package(directory):
    faults = []
    descriptor = json.loads((directory / "datapackage.json").read_text(encoding="utf-8"))
    stated = [resource["path"] for resource in descriptor["resources"]]
    found = sorted(str(path.relative_to(directory)) for path in directory.glob("tables/*"))
    found.append("tables.xlsx")
    if sorted(stated) != sorted(found):
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
        elif resource["format"] in ("parquet", "arrow"):
            if schema(path).names != [field["name"] for field in resource["schema"]["fields"]]:
                faults.append(f"{path.name}: other columns")
            faults += described(path)
    print(f"package: {len(stated)} files, {rows} rows of CSV")
    return faults if stated else faults + ["the package states no file"]


def same(cell, text):
    """Whether a cell of a sheet holds what stands in the CSV file, in its own type."""
    if cell.value is None:
        return text == ""
    if cell.data_type == "n":
        try:
            return float(text) == cell.value
        except ValueError:
            return False
    if cell.data_type == "b":
        return text == str(cell.value).lower()
    # Only a CSV file needs the apostrophe.
    return cell.data_type == "s" and cell.value == re.sub(r"^'(?=[=+\-@\t\r])", "", text)


def workbook(directory):
    faults = []
    path = directory / "tables.xlsx"
    book = openpyxl.load_workbook(path)
    frames = pandas.read_excel(path, sheet_name=None)
    names = sorted(file.stem for file in directory.glob("tables/*.csv"))
    left_out = {
        row[0].value
        for row in book["about"].iter_rows(min_row=2)
        if str(row[5].value).startswith("LEFT OUT")
    }
    if sorted(book.sheetnames) != sorted({"about", *names} - left_out):
        faults.append(f"sheets {book.sheetnames} for tables {names}")
    cells = 0
    for name in book.sheetnames:
        sheet = book[name]
        if sheet.freeze_panes != "A2":
            faults.append(f"{name}: the header moves")
        if name == "about":
            continue
        with open(directory / f"tables/{name}.csv", newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file))
        if frames[name].shape != (len(rows) - 1, len(rows[0])):
            faults.append(f"{name}: {frames[name].shape} by pandas")
        if (sheet.max_row, sheet.max_column) != (len(rows), len(rows[0])):
            faults.append(f"{name}: {sheet.max_row} rows, {sheet.max_column} columns")
        for found, expected in zip(sheet.iter_rows(), rows):
            for cell, text in zip(found, expected):
                cells += 1
                if not same(cell, text):
                    faults.append(f"{name} {cell.coordinate}: not as in the CSV file")
    print(f"workbook: {len(book.sheetnames)} sheets, {cells} cells as in the CSV files")
    return faults[:20] if cells else faults + ["no cell"]


def blocks():
    """Language and code of the lines that README shows for notebooks."""
    text = README.read_text(encoding="utf-8")
    section = text.split("\n## Tables for a paper\n")[1].split("\n## ")[0]
    return re.findall(r"^```(python|r)\n(.*?)^```$", section, flags=re.DOTALL | re.MULTILINE)


def rows_of(code):
    """Runs lines of Python; the last is an expression, whose rows are counted."""
    tree = ast.parse(code)
    last = ast.Expression(tree.body.pop().value)
    names = {}
    exec(compile(tree, "README.md", "exec"), names)
    return len(eval(compile(last, "README.md", "eval"), names))


def notebooks(directory):
    faults = []
    found = blocks()
    if [language for language, _ in found] != ["python", "python", "r"]:
        faults.append(f"README shows {[language for language, _ in found]}")
    with tempfile.TemporaryDirectory() as place:
        # Where README has the tables.
        pathlib.Path(place, "reports").mkdir()
        pathlib.Path(place, "reports/tables").symlink_to(directory.resolve())
        for language, code in found:
            lines = code.strip().splitlines()
            if len(lines) != 3:
                faults.append(f"{len(lines)} lines of {language}")
            if language == "python":
                command = [sys.executable, __file__, "--rows-of", code]
            elif shutil.which("Rscript"):
                last = f"shown <- {lines[-1]}\ncat(nrow(shown), '\\n')"
                command = ["Rscript", "-e", "\n".join([*lines[:-1], last])]
            else:
                print("notebooks: R is not installed, so its lines were not run")
                continue
            ended = subprocess.run(command, cwd=place, capture_output=True, text=True)
            rows = ended.stdout.strip()
            if ended.returncode != 0 or not rows.isdigit() or int(rows) == 0:
                faults.append(f"{lines[0]}: {ended.stderr.strip() or rows}")
            else:
                print(f"notebooks: {lines[0]}: {rows} rows")
    return faults


def paper(directory):
    if not shutil.which("pdflatex"):
        print("paper: LaTeX is not installed, so its tables were not set")
        return []
    faults = []
    with tempfile.TemporaryDirectory() as place:
        tables = sorted(directory.glob("papers/*.tex"))
        shutil.copy(directory / "methods.bib", place)
        inputs = "\n".join(f"\\input{{{path.resolve()}}}" for path in tables)
        labels = " ".join(f"\\ref{{tab:{path.stem.replace('_', '-')}}}" for path in tables)
        document = (
            "\\documentclass{article}\n\\usepackage{array,longtable}\n\\begin{document}\n"
            f"{inputs}\n{labels}\n\\nocite{{*}}\\bibliographystyle{{plain}}\\bibliography{{methods}}\n"
            "\\end{document}\n"
        )
        pathlib.Path(place, "paper.tex").write_text(document, encoding="utf-8")
        latex = ["pdflatex", "-interaction=nonstopmode", "-halt-on-error", "paper.tex"]
        for command in (latex, ["bibtex", "paper"], latex, latex, latex):
            ended = subprocess.run(command, cwd=place, capture_output=True, text=True, errors="replace")
            if ended.returncode != 0:
                return [f"{command[0]}: {ended.stdout[-500:]}"]
        for line in ended.stdout.splitlines():
            wide = re.match(r"Overfull \\hbox \((\d+)", line)
            if "undefined" in line or "Missing character" in line or (wide and int(wide[1]) > 10):
                faults.append(f"paper: {line}")
    print(f"paper: {len(tables)} tables set on pages as they are, sources read")
    return faults if tables else ["no table for a paper"]


def main(directory, is_shared):
    faults = []
    for check in (package, workbook, paper) if is_shared else (package, workbook, notebooks, paper):
        faults += check(directory)
    for fault in faults:
        print(fault)
    print(f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    if sys.argv[1] == "--rows-of":
        print(rows_of(sys.argv[2]))
    else:
        sys.exit(main(pathlib.Path(sys.argv[1]), sys.argv[2:] == ["--shared"]))
