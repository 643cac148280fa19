//! Files and patterns of the file system, and files that are no CSV.

use super::super::{OpenInput, expand};
use super::{gzip, open, text_of, utf16, zstd};
use crate::ingest::error::IngestError;
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

fn folder(names: &[&str]) -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in names {
        let path = folder.path().join(name);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, "Case,Site\n").unwrap();
    }
    folder
}

/// The names of the files that `typed` stands for, below the folder.
fn expanded(folder: &TempDir, typed: &[&str]) -> Result<Vec<String>, IngestError> {
    let typed: Vec<PathBuf> = typed.iter().map(|name| folder.path().join(name)).collect();
    let paths = expand(&typed)?;
    Ok(paths
        .iter()
        .map(|path| path.strip_prefix(folder.path()).unwrap())
        .map(|path| path.to_str().unwrap().to_string())
        .collect())
}

#[test]
fn patterns_stand_for_their_files_sorted_and_paths_for_themselves() {
    let folder = folder(&[
        "b.csv",
        "a.csv",
        "c.txt",
        ".a.csv",
        "deep.csv/x.csv",
        "odd[1].csv",
        "z*.csv",
        "zz.csv",
    ]);
    let check = |typed: &[&str], expected: &[&str]| {
        assert_eq!(expanded(&folder, typed).unwrap(), expected, "{typed:?}");
    };
    check(&["?.csv"], &["a.csv", "b.csv"]);
    check(&["c.txt", "[ab].csv"], &["c.txt", "a.csv", "b.csv"]);
    check(&["*/*.csv"], &["deep.csv/x.csv"]);
    // These exist under their very names.
    check(&["odd[1].csv"], &["odd[1].csv"]);
    check(&["z*.csv"], &["z*.csv"]);
    assert_eq!(expand(&["-".into()]).unwrap(), [PathBuf::from("-")]);
}

#[test]
fn patterns_without_a_file_and_paths_without_a_file_are_errors() {
    let folder = folder(&["a.csv", ".b.csv", "deep.csv/x.txt"]);
    for pattern in ["b*.csv", "*b.csv", "d*.csv", "[a.csv", "none/*.csv"] {
        let error = expanded(&folder, &[pattern]).unwrap_err();
        assert!(matches!(error, IngestError::NoMatch { .. }), "{error}");
        assert!(error.to_string().starts_with("no file matches `"));
        assert!(error.hint().contains("pattern"));
    }
    let error = expanded(&folder, &["b.csv"]).unwrap_err();
    assert!(matches!(error, IngestError::Unreadable { .. }));
}

#[test]
fn one_file_given_twice_is_an_error() {
    let folder = folder(&["a.csv", "b.csv", "deep/c.csv"]);
    for typed in [
        ["a.csv", "a.csv"],
        ["a.csv", "deep/../a.csv"],
        ["b.csv", "*.csv"],
    ] {
        let error = expanded(&folder, &typed).unwrap_err();
        assert!(matches!(error, IngestError::SameFileTwice { .. }));
        assert!(error.to_string().contains("is the same file as"), "{error}");
    }
    let error = expand(&["-".into(), "-".into()]).unwrap_err();
    assert!(matches!(error, IngestError::SameFileTwice { .. }));
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink(folder.path().join("a.csv"), folder.path().join("d.csv"))
            .unwrap();
        assert!(expanded(&folder, &["a.csv", "d.csv"]).is_err());
    }
}

#[test]
fn files_are_opened_and_directories_refused() {
    let folder = folder(&["a.csv"]);
    let mut input = OpenInput::open(&folder.path().join("a.csv"), None, false).unwrap();
    assert_eq!(text_of(&mut input, 100).unwrap(), b"Case,Site\n");
    assert_eq!(input.bytes_read(), 10);
    assert_eq!(input.finish().unwrap(), (10, None));
    let error = OpenInput::open(folder.path(), None, false).err().unwrap();
    assert!(error.to_string().ends_with("it is a directory"), "{error}");
}

#[cfg(unix)]
#[test]
fn a_pipe_is_read_once() {
    let folder = tempfile::tempdir().unwrap();
    let pipe = folder.path().join("pipe");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status();
    assert!(made.unwrap().success());
    let content = gzip(&b"Case,Site\n".repeat(50_000));
    let writer = std::thread::spawn({
        let (pipe, content) = (pipe.clone(), content.clone());
        move || fs::write(pipe, content).unwrap()
    });
    let mut input = OpenInput::open(&pipe, None, true).unwrap();
    assert_eq!(text_of(&mut input, 4096).unwrap().len(), 500_000);
    assert_eq!(input.finish().unwrap().0, content.len() as u64);
    writer.join().unwrap();
}

#[track_caller]
fn check_refused(content: &[u8], found: &str, remedy: &str) {
    let error = open(content, None).err().expect("is no CSV");
    assert_eq!(
        error.to_string(),
        format!("`cases.csv` is {found}, not CSV")
    );
    assert!(error.hint().contains(remedy), "{}", error.hint());
}

#[test]
fn what_is_no_csv_is_named_with_its_remedy() {
    let zip = |name: &str| [b"PK\x03\x04".as_slice(), &[0; 26], name.as_bytes()].concat();
    let old = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1".to_vec();
    let xlsx = "a spreadsheet or document (`.xlsx`)";
    let web = "a web page or a table of one";
    let mut tar = vec![b'x'; 600];
    tar[257..262].copy_from_slice(b"ustar");
    check_refused(&zip("[Content_Types].xml"), xlsx, "export it as CSV");
    check_refused(&zip("xl/workbook.xml"), xlsx, "export it as CSV");
    check_refused(
        &zip("mimetypeapplication/vnd.oasis.opendocument.spreadsheet"),
        "a spreadsheet or document (`.ods`)",
        "export it as CSV",
    );
    check_refused(&zip("cases.csv"), "a zip archive", "unpack it");
    check_refused(b"PK\x05\x06", "a zip archive", "unpack it");
    check_refused(
        &old,
        "a spreadsheet or document of an old office program (`.xls`)",
        "export it as CSV",
    );
    check_refused(b"%PDF-1.7\n", "a PDF document", "export it as CSV");
    check_refused(b"PAR1\x15\x04", "a Parquet file", "export it as CSV");
    check_refused(
        b"SQLite format 3\0",
        "a SQLite database",
        "export it as CSV",
    );
    check_refused(&tar, "a tar archive", "unpack it");
    check_refused(&gzip(&tar), "a tar archive", "unpack it");
    check_refused(
        &zstd(&gzip(b"a,b\n")),
        "an archive inside an archive",
        "unpack it",
    );
    check_refused(b"\xff\xfe\0\0a\0\0\0", "text in UTF-32", "as UTF-8");
    for page in [
        "<html><table>",
        "\r\n  <TABLE border=1>",
        "<!DOCTYPE HTML>",
        "\u{feff}<meta charset=utf-8>",
    ] {
        check_refused(page.as_bytes(), web, "export it as CSV");
        check_refused(&gzip(page.as_bytes()), web, "export it as CSV");
        let mut marked = vec![0xff, 0xfe];
        marked.extend(utf16(page.trim_start_matches('\u{feff}'), u16::to_le_bytes));
        check_refused(&marked, web, "export it as CSV");
    }
    check_refused(b"<?xml version=\"1.0\"?>", "an XML file", "export it");
    check_refused(b"[{\"Case\":1}]", "a JSON file", "export it");
}

#[test]
fn headings_that_begin_like_other_files_are_headings() {
    for text in [
        "PK,Site\n",
        "PAR1,PAR2\n",
        "BZh1,b\n",
        "ustar\n",
        "[Case],[Site]\n",
        "<5 min,Site\n",
        "{Case},Site\n",
        "Rar!,b\n",
        "P*M,b\n",
        "%PDF,b\n",
    ] {
        assert!(open(text.as_bytes(), None).is_ok(), "{text}");
    }
}
