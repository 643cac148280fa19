use super::*;

const RUN: &[u8] = br#"{"tool": "scopetally", "outputs": ["tables/findings.csv", "former.csv", "charts/old.svg"]}"#;

/// A parent for targets, with what lies in it in sorted order.
struct Parent(TempDir);

impl Parent {
    fn new() -> Parent {
        Parent(tempfile::tempdir().unwrap())
    }

    fn path(&self, relative: &str) -> PathBuf {
        self.0.path().join(relative)
    }

    fn write(&self, relative: &str, content: &[u8]) {
        let path = self.path(relative);
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(path, content).unwrap();
    }

    fn files(&self) -> Vec<String> {
        let mut files = Vec::new();
        list(self.0.path(), self.0.path(), &mut files);
        files.sort();
        files
    }

    /// A run with target `out` that was killed: its temporary directory with `content`.
    fn leave_over(&self, content: &[&str]) {
        let name = ".scopetally-out-x7Qa1c";
        self.write(
            &format!("{name}/temporary"),
            leftovers::MARKER_TEXT.as_bytes(),
        );
        for file in content {
            self.write(&format!("{name}/{file}"), RUN);
        }
    }
}

fn list(root: &Path, directory: &Path, files: &mut Vec<String>) {
    for entry in fs::read_dir(directory).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.is_symlink() {
            list(root, &path, files);
        } else {
            let relative = path.strip_prefix(root).unwrap();
            files.push(relative.to_str().unwrap().to_owned());
        }
    }
}

fn complete(target: &Path) -> PathBuf {
    let mut directory = OutputDirectory::create(target).unwrap();
    directory.write("tables/findings.csv", b"new").unwrap();
    directory.write("run.json", RUN).unwrap();
    directory.finish().unwrap()
}

#[track_caller]
fn refusal(target: &Path) -> String {
    OutputDirectory::create(target).unwrap_err().to_string()
}

const DONE: [&str; 2] = ["out/run.json", "out/tables/findings.csv"];

#[test]
fn files_appear_under_the_target_at_the_end_and_nothing_else_stays() {
    let parent = Parent::new();
    let target = parent.path("out");
    let mut directory = OutputDirectory::create(&target).unwrap();
    directory.write("run.json", RUN).unwrap();
    assert!(!target.exists());
    drop(directory);
    assert_eq!(parent.files(), [""; 0]);

    assert_eq!(complete(&target), target);
    assert_eq!(parent.files(), DONE);
}

#[test]
fn missing_parents_are_made_and_an_empty_directory_is_taken() {
    let parent = Parent::new();
    complete(&parent.path("a/b/out"));
    fs::create_dir(parent.path("empty")).unwrap();
    complete(&parent.path("empty/"));
    let files = [
        "a/b/out/run.json",
        "a/b/out/tables/findings.csv",
        "empty/run.json",
        "empty/tables/findings.csv",
    ];
    assert_eq!(parent.files(), files);
}

#[test]
fn results_of_an_earlier_run_stand_until_the_new_ones_replace_them_whole() {
    let parent = Parent::new();
    let target = parent.path("out");
    parent.write("out/run.json", RUN);
    parent.write("out/charts/old.svg", b"old");
    let mut directory = OutputDirectory::create(&target).unwrap();
    directory.write("run.json", RUN).unwrap();
    assert!(target.join("charts/old.svg").exists());
    directory.finish().unwrap();
    assert_eq!(parent.files(), ["out/run.json"]);
}

#[cfg(unix)]
#[test]
fn a_replaced_directory_keeps_its_permissions() {
    use std::os::unix::fs::PermissionsExt;
    let parent = Parent::new();
    let target = parent.path("out");
    complete(&target);
    fs::set_permissions(&target, fs::Permissions::from_mode(0o750)).unwrap();
    complete(&target);
    let mode = fs::metadata(&target).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o750);

    // What names cases is at first for nobody else, and then for whom it was opened to.
    let run =
        br#"{"tool": "scopetally", "outputs": ["internal/deep/list.csv", "internal/issues.csv"]}"#;
    let internal = target.join("internal");
    let make = || {
        let mut directory = OutputDirectory::create(&target).unwrap();
        directory.write("internal/deep/list.csv", b"x").unwrap();
        directory.write("internal/issues.csv", b"x").unwrap();
        directory.write("run.json", run).unwrap();
        directory.finish().unwrap();
        fs::metadata(&internal).unwrap().permissions().mode() & 0o777
    };
    assert_eq!(make(), 0o700);
    fs::set_permissions(&internal, fs::Permissions::from_mode(0o750)).unwrap();
    assert_eq!(make(), 0o750);
}

#[test]
fn refuses_a_directory_with_anything_else_and_leaves_it_alone() {
    let parent = Parent::new();
    let target = parent.path("out");
    parent.write("out/thesis.txt", b"mine");
    let message = format!(
        "output directory `{}` is not empty and holds no results of scopetally; \
         choose another --out, or empty it",
        target.display()
    );
    assert_eq!(refusal(&target), message);
    parent.write("out/run.json", br#"{"tool": "other"}"#);
    assert_eq!(refusal(&target), message);
    assert_eq!(parent.files(), ["out/run.json", "out/thesis.txt"]);
}

#[test]
fn refuses_when_something_else_has_come_in_the_meantime() {
    let parent = Parent::new();
    let directory = OutputDirectory::create(&parent.path("out")).unwrap();
    parent.write("out/thesis.txt", b"mine");
    let error = directory.finish().unwrap_err();
    assert!(matches!(error, DirectoryError::NotOurs { .. }));
    assert_eq!(parent.files(), ["out/thesis.txt"]);
}

#[test]
fn results_come_back_when_new_ones_cannot_be_put_in_their_place() {
    let parent = Parent::new();
    let target = parent.path("out");
    complete(&target);
    let mut directory = OutputDirectory::create(&target).unwrap();
    // No system renames a directory to a place inside itself.
    directory.new = parent.path("");
    let message = format!("cannot rename the new results to `{}`", target.display());
    assert_eq!(directory.finish().unwrap_err().to_string(), message);
    assert_eq!(parent.files(), DONE);
}

#[test]
fn refuses_files_and_paths_without_a_name() {
    let parent = Parent::new();
    parent.write("out", b"a file");
    assert!(refusal(&parent.path("out")).ends_with("is a file; choose another --out"));
    for path in [".", "/", "..", "reports/.."] {
        let message =
            format!("`{path}` cannot be the output directory; name a directory inside it");
        assert_eq!(refusal(Path::new(path)), message);
    }
    let below = parent.path("out/below");
    let message = format!("cannot create `{}`", parent.path("out").display());
    assert_eq!(refusal(&below), message);
}

#[cfg(unix)]
#[test]
fn refuses_a_link_even_with_a_slash_behind_it() {
    let parent = Parent::new();
    fs::create_dir(parent.path("elsewhere")).unwrap();
    std::os::unix::fs::symlink(parent.path("elsewhere"), parent.path("out")).unwrap();
    for name in ["out", "out/"] {
        assert!(refusal(&parent.path(name)).contains("is a symbolic link"));
    }
}

#[cfg(target_os = "linux")]
#[test]
fn names_a_parent_in_which_nothing_can_be_made() {
    // Not even the superuser can make a directory there.
    let message = "cannot create a directory in `/proc/self`";
    assert_eq!(refusal(Path::new("/proc/self/out")), message);
}

#[test]
fn writes_inside_the_directory_only_and_nothing_twice() {
    let parent = Parent::new();
    let mut directory = OutputDirectory::create(&parent.path("out")).unwrap();
    for path in ["", ".", "../run.json", "/run.json", "charts/../../run.json"] {
        let error = directory.write(path, b"").unwrap_err();
        assert!(matches!(error, DirectoryError::Outside { .. }), "{path}");
    }
    directory.write("run.json", b"first").unwrap();
    let error = directory
        .write("run.json", b"second")
        .unwrap_err()
        .to_string();
    assert!(
        error.starts_with("cannot create `") && error.ends_with("run.json`"),
        "{error}"
    );
}

#[test]
fn what_a_killed_run_left_is_removed_by_the_next_one() {
    let parent = Parent::new();
    parent.leave_over(&["new/run.json", "old/run.json"]);
    parent.write("out/run.json", RUN);
    complete(&parent.path("out"));
    assert_eq!(parent.files(), DONE);
}

#[test]
fn results_that_a_killed_run_had_moved_aside_come_back_first() {
    let parent = Parent::new();
    parent.leave_over(&["new/run.json", "old/run.json", "old/former.csv"]);
    let directory = OutputDirectory::create(&parent.path("out")).unwrap();
    drop(directory);
    assert_eq!(parent.files(), ["out/former.csv", "out/run.json"]);
}

#[test]
fn leaves_alone_what_is_not_a_leftover_of_this_target() {
    let parent = Parent::new();
    let kept = [
        ".scopetally-out-2-x7Qa1c/temporary",
        ".scopetally-out-notes/temporary",
        ".scopetally-out-other1/temporary",
        ".scopetally-out-x7Qa1c/notes.txt",
    ];
    for file in kept {
        let is_by_another_hand = file.contains("other1");
        let text = if is_by_another_hand {
            "mine"
        } else {
            leftovers::MARKER_TEXT
        };
        parent.write(file, text.as_bytes());
    }
    complete(&parent.path("out"));
    let files = parent.files();
    assert_eq!(files[..4], kept);
    assert_eq!(files[4..], DONE);
}

#[test]
fn a_run_that_still_lives_keeps_its_files_while_another_one_finishes() {
    let parent = Parent::new();
    let target = parent.path("out");
    let mut slow = OutputDirectory::create(&target).unwrap();
    slow.write("run.json", RUN).unwrap();
    complete(&target);
    assert!(target.join("tables").exists());
    slow.finish().unwrap();
    assert_eq!(parent.files(), ["out/run.json"]);
}

#[test]
fn notes_that_somebody_keeps_beside_the_results_are_never_removed() {
    let parent = Parent::new();
    parent.write("out/run.json", RUN);
    parent.write("out/tables/findings.csv", b"old");
    parent.write("out/tables/minutes-of-the-meeting.txt", b"kept");
    let error = OutputDirectory::create(&parent.path("out"))
        .unwrap_err()
        .to_string();
    assert!(error.contains("minutes-of-the-meeting.txt"), "{error}");
    assert_eq!(
        parent.files(),
        [
            "out/run.json",
            "out/tables/findings.csv",
            "out/tables/minutes-of-the-meeting.txt"
        ]
    );
}
