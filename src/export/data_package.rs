//! `datapackage.json`: which tables stand in the directory, what their columns mean, and the size and
//! hash of each file, by the Frictionless Data Package specification, version 1.
//!
//! Knows the layout of that file. What a column means comes from the table itself; which closed list
//! its values come from is said in [`lists`].

mod lists;

use super::described::{DEFINITION, METHOD, UNIT};
use super::sha256::size_and_sha256;
use super::table::{Format, Table};
use arrow::datatypes::{DataType, Field};
use serde::Serialize;
use std::io;

/// Name of the file in the output directory.
pub const FILE_NAME: &str = "datapackage.json";

/// A package of tables.
#[derive(Clone, Debug, Serialize)]
pub struct DataPackage {
    profile: &'static str,
    name: &'static str,
    title: String,
    description: String,
    version: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    created: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    sources: Vec<Source>,
    resources: Vec<Resource>,
}

/// What the tables were made from.
#[derive(Clone, Debug, Serialize)]
struct Source {
    title: String,
}

/// One file of a table.
#[derive(Clone, Debug, Serialize)]
pub struct Resource {
    profile: &'static str,
    name: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    description: Option<String>,
    path: String,
    format: &'static str,
    mediatype: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    encoding: Option<&'static str>,
    bytes: u64,
    hash: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    dialect: Option<Dialect>,
    #[serde(skip_serializing_if = "Option::is_none")]
    schema: Option<TableSchema>,
}

/// How a CSV file is written.
#[derive(Clone, Copy, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct Dialect {
    delimiter: &'static str,
    line_terminator: &'static str,
    quote_char: &'static str,
    double_quote: bool,
    header: bool,
}

/// What the columns of a table are.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "camelCase")]
struct TableSchema {
    fields: Vec<Column>,
    missing_values: [&'static str; 1],
}

#[derive(Clone, Debug, Serialize)]
struct Column {
    name: String,
    #[serde(rename = "type")]
    kind: &'static str,
    description: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    method: Option<String>,
    constraints: Constraints,
}

#[derive(Clone, Debug, Serialize)]
struct Constraints {
    required: bool,
    #[serde(rename = "enum", skip_serializing_if = "Option::is_none")]
    list: Option<Vec<&'static str>>,
}

impl DataPackage {
    /// A package of these files. `created` is `YYYY-MM-DD`; `inputs` are a role and a SHA-256 each;
    /// without one, nothing is said of what the tables were made from.
    pub fn new<'a>(
        title: String,
        tool_version: &str,
        created: Option<&str>,
        inputs: impl Iterator<Item = (&'a str, &'a str)>,
        resources: Vec<Resource>,
    ) -> DataPackage {
        let description = format!(
            "Tables made by scopetally {tool_version}. Every number is computed from counts of cases. \
             A text in a CSV file that a spreadsheet would take for a formula has an apostrophe in \
             front; the Parquet and Arrow files hold it as it is."
        );
        let source = |(role, sha256): (&str, &str)| Source {
            title: format!("{role} file with SHA-256 {sha256}"),
        };
        DataPackage {
            profile: "data-package",
            name: "scopetally-tables",
            title,
            description,
            version: tool_version.to_owned(),
            created: created.map(|date| format!("{date}T00:00:00Z")),
            sources: inputs.map(source).collect(),
            resources,
        }
    }

    /// The content of `datapackage.json`: indented, in a fixed order, with a line end.
    pub fn to_json(&self) -> String {
        let mut json =
            serde_json::to_string_pretty(self).expect("texts, numbers and lists become JSON");
        json.push('\n');
        json
    }
}

impl Resource {
    /// A file of a table, at `path` in the directory, with its content.
    ///
    /// # Errors
    /// Never: a slice can be read.
    pub fn new(path: &str, table: &Table, format: Format, content: &[u8]) -> io::Result<Resource> {
        let (bytes, sha256) = size_and_sha256(content)?;
        let is_text = format == Format::Csv;
        Ok(Resource {
            profile: if is_text {
                "tabular-data-resource"
            } else {
                "data-resource"
            },
            name: if is_text {
                table.name.to_owned()
            } else {
                table.file_name(format)
            },
            description: table.batch.schema_ref().metadata().get(DEFINITION).cloned(),
            path: path.to_owned(),
            format: format.extension(),
            mediatype: match format {
                Format::Csv => "text/csv",
                Format::Parquet => "application/vnd.apache.parquet",
                Format::Arrow => "application/vnd.apache.arrow.file",
            },
            encoding: is_text.then_some("utf-8"),
            bytes,
            hash: format!("sha256:{sha256}"),
            dialect: is_text.then_some(CSV),
            schema: Some(TableSchema {
                fields: table
                    .batch
                    .schema()
                    .fields()
                    .iter()
                    .map(|field| column(table.name, field))
                    .collect(),
                missing_values: [""],
            }),
        })
    }

    /// The workbook of all tables, at `path` in the directory, with its content. It has no schema of
    /// its own: its sheets are the tables.
    ///
    /// # Errors
    /// Never: a slice can be read.
    pub fn workbook(path: &str, content: &[u8]) -> io::Result<Resource> {
        let (bytes, sha256) = size_and_sha256(content)?;
        Ok(Resource {
            profile: "data-resource",
            name: "workbook".to_owned(),
            description: Some(
                "The tables as one workbook, a sheet each; the first sheet says what each column is"
                    .to_owned(),
            ),
            path: path.to_owned(),
            format: "xlsx",
            mediatype: "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
            encoding: None,
            bytes,
            hash: format!("sha256:{sha256}"),
            dialect: None,
            schema: None,
        })
    }
}

/// How every CSV file here is written.
const CSV: Dialect = Dialect {
    delimiter: ",",
    line_terminator: "\n",
    quote_char: "\"",
    double_quote: true,
    header: true,
};

fn column(table: &str, field: &Field) -> Column {
    let said = |key: &str| field.metadata().get(key).cloned();
    Column {
        name: field.name().clone(),
        kind: match field.data_type() {
            DataType::Int64 => "integer",
            DataType::Float64 => "number",
            DataType::Boolean => "boolean",
            _ => "string",
        },
        description: said(DEFINITION).unwrap_or_default(),
        unit: said(UNIT),
        method: said(METHOD),
        constraints: Constraints {
            required: !field.is_nullable(),
            list: lists::list(table, field.name()),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::export::columns::{batch, flag, number, text, whole};
    use crate::export::described::described;
    use serde_json::{Value, json};

    fn table() -> Table {
        let columns = vec![
            text("end", "what it is", ["left"].iter()),
            whole("cases", "how many", "cases", [3_u64].into_iter()).expect("fits"),
            number("share", "a part", "fraction", [None].into_iter()),
            flag("suppressed", "withheld", [true].into_iter()),
        ];
        described(&Table {
            name: "ends",
            batch: batch(columns),
        })
    }

    #[test]
    fn a_file_says_how_to_read_it_and_what_its_columns_mean() {
        let resource = Resource::new("tables/ends.csv", &table(), Format::Csv, b"abc");
        let json = serde_json::to_value(resource.expect("read")).expect("JSON");
        // The hash of `abc` is the published example of FIPS 180-2.
        let expected = json!({
            "profile": "tabular-data-resource",
            "name": "ends",
            "description": "What had become of all judged calls by half an hour to a day",
            "path": "tables/ends.csv",
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "bytes": 3,
            "hash": "sha256:ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            "dialect": {
                "delimiter": ",", "lineTerminator": "\n", "quoteChar": "\"", "doubleQuote": true,
                "header": true
            },
            "schema": {
                "fields": [
                    {
                        "name": "end", "type": "string", "description": "what it is",
                        "constraints": {
                            "required": true,
                            "enum": ["scoped", "left", "waiting"]
                        }
                    },
                    {
                        "name": "cases", "type": "integer", "description": "how many",
                        "unit": "cases", "method": "counted", "constraints": {"required": true}
                    },
                    {
                        "name": "share", "type": "number", "description": "a part",
                        "unit": "fraction", "method": "computed from the counts beside it",
                        "constraints": {"required": false}
                    },
                    {
                        "name": "suppressed", "type": "boolean", "description": "withheld",
                        "constraints": {"required": true}
                    }
                ],
                "missingValues": [""]
            }
        });
        assert_eq!(json, expected);
    }

    #[test]
    fn files_of_one_table_have_names_of_their_own_and_the_date_only_where_it_is_known() {
        let names: Vec<Value> = Format::ALL
            .into_iter()
            .map(|format| Resource::new("here", &table(), format, b"").expect("read"))
            .map(|resource| serde_json::to_value(resource).expect("JSON")["name"].clone())
            .collect();
        assert_eq!(names, ["ends", "ends.parquet", "ends.arrow"]);
        let workbook = Resource::workbook("tables.xlsx", b"abc").expect("read");
        let workbook = serde_json::to_value(workbook).expect("JSON");
        assert_eq!(
            (&workbook["name"], &workbook["bytes"]),
            (&json!("workbook"), &json!(3))
        );
        assert_eq!(workbook.get("schema"), None);
        let package = |created| {
            let inputs = [("cases", "00")].into_iter();
            let package = DataPackage::new("Title".to_owned(), "1", created, inputs, Vec::new());
            serde_json::from_str::<Value>(&package.to_json()).expect("JSON")
        };
        assert_eq!(
            package(Some("2026-09-01"))["created"],
            "2026-09-01T00:00:00Z"
        );
        assert_eq!(package(None).get("created"), None);
        assert_eq!(
            package(None)["sources"][0]["title"],
            "cases file with SHA-256 00"
        );
    }
}
