//! What is written: whole or not at all, never over what is read, and no failure is passed over.

use std::fs;
use std::path::{Path, PathBuf};

mod program;

use program::{Ran, fresh_folder, ran, tamis};

const MIX: &str = "ingredient,grams\nwater,700\nsucrose,200\nraspberry,100\n";

/// A folder with a formula in it.
fn kitchen(name: &str) -> PathBuf {
    let folder = fresh_folder(&format!("writing-{name}"));
    fs::write(folder.join("mine.csv"), MIX).expect("writable");
    folder
}

fn within(folder: &Path, args: &[&str]) -> Ran {
    ran(tamis().current_dir(folder).args(args))
}

/// Names in a folder, sorted.
fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder is there");
    let name = |entry: std::io::Result<fs::DirEntry>| entry.expect("an entry").file_name();
    let mut names: Vec<String> = entries
        .map(|entry| name(entry).to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn refused(what: &str, ran: &Ran, told: &[&str]) {
    assert_eq!(ran.code, Some(2), "{what}: {}{}", ran.out, ran.err);
    assert_eq!(ran.out, "", "{what}");
    for text in told.iter().chain(&["error[I002]"]) {
        assert!(
            ran.err.contains(text),
            "{what}: no `{text}` in\n{}",
            ran.err
        );
    }
}

/// Every way to write a file: arguments, then the start of what is written.
const WAYS: &[(&[&str], &str)] = &[
    (&["assess", "mine.csv", "--svg", "X"], "<svg"),
    (
        &["export", "--where", "family polyol", "--out", "X"],
        "ingredient,",
    ),
    (
        &[
            "export",
            "--format",
            "json",
            "--where",
            "family polyol",
            "--out",
            "X",
        ],
        "[",
    ),
    (
        &["export", "--format", "sqlite", "--out", "X"],
        "SQLite format 3",
    ),
];

fn to(args: &[&'static str], target: &'static str) -> Vec<&'static str> {
    let named = |arg: &&'static str| if *arg == "X" { target } else { arg };
    args.iter().map(named).collect()
}

fn begins(path: &Path, start: &str) {
    let bytes = fs::read(path).expect("it was written");
    assert!(bytes.starts_with(start.as_bytes()), "{}", path.display());
}

#[test]
fn a_file_is_written_whole_and_nothing_else_is_touched() {
    for (args, start) in WAYS {
        let folder = kitchen("plain");
        fs::write(folder.join("new.part"), "mine").expect("writable");
        let ran = within(&folder, &to(args, "new.txt"));
        assert_eq!(ran.code, Some(0), "{args:?}: {}", ran.err);
        begins(&folder.join("new.txt"), start);
        assert_eq!(names(&folder), ["mine.csv", "new.part", "new.txt"]);
        let beside = fs::read_to_string(folder.join("new.part"));
        assert_eq!(beside.expect("UTF-8"), "mine", "{args:?}");
        // A second time it takes the place of what is there.
        fs::write(folder.join("new.txt"), "old").expect("writable");
        let ran = within(&folder, &to(args, "new.txt"));
        assert_eq!(ran.code, Some(0), "{args:?}: {}", ran.err);
        begins(&folder.join("new.txt"), start);
        assert_eq!(names(&folder), ["mine.csv", "new.part", "new.txt"]);
    }
}

#[test]
fn what_cannot_be_a_file_is_refused() {
    for (args, _) in WAYS {
        let folder = kitchen("no-file");
        fs::create_dir(folder.join("folder")).expect("writable");
        for (target, why) in [
            ("folder", "it is a folder"),
            ("nowhere/new.txt", "cannot be written"),
            ("mine.csv/new.txt", "cannot be written"),
        ] {
            let ran = within(&folder, &to(args, target));
            refused(&format!("{args:?} {target}"), &ran, &[target, why]);
        }
        assert_eq!(names(&folder), ["folder", "mine.csv"]);
    }
}

#[test]
fn a_formula_is_not_overwritten_by_the_command_that_reads_it() {
    let folder = kitchen("formula");
    fs::write(folder.join("other.csv"), MIX).expect("writable");
    fs::hard_link(folder.join("mine.csv"), folder.join("hard.csv")).expect("links");
    let whole = folder.join("mine.csv");
    let whole = whole.to_str().expect("UTF-8");
    let (mine, other) = ("mine.csv", "other.csv");
    for (formula, against, svg) in [
        (mine, other, mine),
        (mine, other, "./mine.csv"),
        (mine, other, whole),
        (whole, other, mine),
        (mine, other, "hard.csv"),
        (mine, other, other),
    ] {
        let args = ["assess", formula, "--against", against, "--svg", svg];
        let what = args.join(" ");
        refused(
            &what,
            &within(&folder, &args),
            &["the same command reads it"],
        );
    }
    for name in ["mine.csv", "other.csv", "hard.csv"] {
        let text = fs::read_to_string(folder.join(name));
        assert_eq!(text.expect("UTF-8"), MIX, "{name}");
    }
    assert_eq!(names(&folder), ["hard.csv", "mine.csv", "other.csv"]);
}

#[test]
fn tables_are_not_overwritten_by_the_command_that_reads_them() {
    let folder = kitchen("tables");
    fs::create_dir(folder.join("own")).expect("writable");
    let table = "ingredient,property,typical,unit\nsucrose,price,1.2,EUR/kg\n";
    let values = folder.join("own/values.csv");
    fs::write(&values, table).expect("writable");
    let args = ["--own", "own", "export", "--out", "own/values.csv"];
    refused(
        "own",
        &within(&folder, &args),
        &["the same command reads it"],
    );
    assert_eq!(fs::read_to_string(&values).expect("UTF-8"), table);
    // A command that does not read it may.
    let args = ["--no-own", "export", "--out", "own/values.csv"];
    assert_eq!(within(&folder, &args).code, Some(0));
}

#[test]
fn the_built_data_are_not_overwritten_by_the_command_that_reads_them() {
    let folder = kitchen("data");
    let project = Path::new(env!("CARGO_MANIFEST_DIR"));
    for below in [
        "data",
        "data/bench",
        "data/grammar",
        "data/label",
        "data/values",
        "data/rules",
        "data/words",
        "schema",
    ] {
        fs::create_dir_all(folder.join(below)).expect("writable");
        for entry in fs::read_dir(project.join(below)).expect("it is there") {
            let path = entry.expect("an entry").path();
            if path.is_file() {
                let name = path.file_name().expect("a name");
                fs::copy(&path, folder.join(below).join(name)).expect("writable");
            }
        }
    }
    let sources = folder.join("data/sources.csv");
    let before = fs::read(&sources).expect("it was copied");
    let args = ["--data", ".", "export", "--out", "data/sources.csv"];
    refused(
        "data",
        &within(&folder, &args),
        &["the same command reads it"],
    );
    assert_eq!(fs::read(&sources).expect("it is there"), before);
    let args = ["--data", ".", "export", "--out", "values.csv"];
    assert_eq!(within(&folder, &args).code, Some(0));
}

#[test]
fn own_tables_are_started_beside_those_there() {
    let folder = kitchen("init");
    let own = folder.join("own");
    fs::create_dir(&own).expect("writable");
    fs::write(own.join("values.csv"), "mine").expect("writable");
    let first = within(&folder, &["own", "--init", "own"]);
    assert_eq!(first.code, Some(0), "{}", first.err);
    let tables = names(&own);
    assert!(tables.len() > 5 && tables.iter().all(|name| name.ends_with(".csv")));
    fs::write(own.join("shelf.csv"), "mine too").expect("writable");
    let again = within(&folder, &["own", "--init", "own"]);
    assert_eq!(again.code, Some(0), "{}", again.err);
    assert_eq!(names(&own), tables);
    for (name, text) in [("values.csv", "mine"), ("shelf.csv", "mine too")] {
        let there = fs::read_to_string(own.join(name));
        assert_eq!(there.expect("UTF-8"), text);
    }
    let ran = within(&folder, &["own", "--init", "mine.csv"]);
    refused("a file for a folder", &ran, &["mine.csv"]);
}

#[test]
fn files_are_written_in_one_room() {
    let mut folders = vec![Path::new(env!("CARGO_MANIFEST_DIR")).join("src")];
    let mut found = vec![];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("the sources are there") {
            let path = entry.expect("an entry").path();
            // What is built is written beside and renamed as a whole folder.
            let room = path.ends_with("cli/writer.rs") || path.ends_with("src/store");
            if path.is_dir() && !room {
                folders.push(path);
            } else if path.is_file() && !room {
                let text = fs::read_to_string(&path).expect("UTF-8");
                let writes = ["fs::write", "File::create", "OpenOptions", "fs::rename"];
                if writes.iter().any(|call| text.contains(call)) {
                    found.push(path);
                }
            }
        }
    }
    assert_eq!(found, Vec::<PathBuf>::new(), "write through cli/writer.rs");
}

#[cfg(unix)]
mod unix {
    use super::*;

    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::{Command, Stdio};

    fn mode(path: &Path) -> u32 {
        let found = fs::metadata(path).expect("it is there");
        found.permissions().mode() & 0o777
    }

    #[test]
    fn a_link_stays_one_and_its_file_keeps_its_permissions() {
        for (args, start) in WAYS {
            let folder = kitchen("links");
            fs::create_dir(folder.join("far")).expect("writable");
            let real = folder.join("far/real.txt");
            fs::write(&real, "old").expect("writable");
            fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).expect("ours");
            symlink("far/real.txt", folder.join("second")).expect("links");
            symlink("second", folder.join("first")).expect("links");
            let ran = within(&folder, &to(args, "first"));
            assert_eq!(ran.code, Some(0), "{args:?}: {}", ran.err);
            begins(&real, start);
            assert_eq!(mode(&real), 0o640, "{args:?}");
            for link in ["first", "second"] {
                assert!(folder.join(link).is_symlink(), "{args:?}");
            }
            assert_eq!(names(&folder.join("far")), ["real.txt"]);
            // A link to nothing yet is followed too.
            fs::remove_file(&real).expect("ours");
            let ran = within(&folder, &to(args, "first"));
            assert_eq!(ran.code, Some(0), "{args:?}: {}", ran.err);
            begins(&real, start);
        }
    }

    #[test]
    fn a_link_to_what_is_read_is_not_written_through() {
        let folder = kitchen("through");
        symlink("mine.csv", folder.join("alias.csv")).expect("links");
        for args in [
            ["assess", "mine.csv", "--svg", "alias.csv"],
            ["assess", "alias.csv", "--svg", "mine.csv"],
        ] {
            let ran = within(&folder, &args);
            refused(&args.join(" "), &ran, &["the same command reads it"]);
        }
        // Standard input is read as well.
        let mine = fs::File::open(folder.join("mine.csv")).expect("it is there");
        let out = Command::new(env!("CARGO_BIN_EXE_tamis"))
            .current_dir(&folder)
            .env("TAMIS_OWN", "")
            .env("TAMIS_CACHE", program::cache())
            .args(["assess", "-", "--svg", "mine.csv"])
            .stdin(mine)
            .output()
            .expect("the program runs");
        assert_eq!(out.status.code(), Some(2));
        let text = fs::read_to_string(folder.join("mine.csv"));
        assert_eq!(text.expect("UTF-8"), MIX);
    }

    #[test]
    fn a_write_protected_file_is_refused() {
        for (args, _) in WAYS {
            let folder = kitchen("protected");
            let path = folder.join("kept.txt");
            fs::write(&path, "kept").expect("writable");
            fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).expect("ours");
            let ran = within(&folder, &to(args, "kept.txt"));
            refused(&format!("{args:?}"), &ran, &["it is write-protected"]);
            assert_eq!(fs::read_to_string(&path).expect("UTF-8"), "kept");
            assert_eq!(names(&folder), ["kept.txt", "mine.csv"]);
        }
    }

    #[test]
    fn devices_and_pipes_are_refused() {
        for (args, _) in WAYS {
            let folder = kitchen("devices");
            let made = Command::new("mkfifo").arg(folder.join("pipe")).status();
            assert!(made.expect("mkfifo is there").success());
            for target in ["/dev/null", "/dev/full", "pipe"] {
                let ran = within(&folder, &to(args, target));
                let what = format!("{args:?} {target}");
                refused(&what, &ran, &["it is a device or a pipe"]);
            }
            assert_eq!(names(&folder), ["mine.csv", "pipe"]);
        }
    }

    /// Everything that prints.
    const PRINTS: &[&[&str]] = &[
        &["ask", "how sweet is xylitol"],
        &["ask", "how sweet is xylitol", "--json"],
        &["assess", "mine.csv"],
        &["assess", "mine.csv", "--json"],
        &["swap", "mine.csv", "--replace", "sucrose"],
        &["adjust", "mine.csv", "--add", "20 g xylitol"],
        &["adjust", "mine.csv", "--scale", "500"],
        &["find", "carob"],
        &["show", "sucrose"],
        &["compare", "sucrose", "xylitol"],
        &["export"],
        &["export", "--format", "json"],
        &["sources"],
        &["properties"],
        &["completeness"],
        &["completeness", "--format", "markdown"],
        &["completeness", "--format", "csv"],
        &["check"],
        &["own"],
        &["own", "--init", "own"],
        &["completions", "bash"],
        &["man"],
        &["--help"],
        &["--version"],
        &["help", "ask"],
    ];

    fn printing(folder: &Path, args: &[&str], out: Stdio) -> std::process::Child {
        Command::new(env!("CARGO_BIN_EXE_tamis"))
            .current_dir(folder)
            .env("TAMIS_OWN", "")
            .env("TAMIS_CACHE", program::cache())
            .args(args)
            .stdout(out)
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program runs")
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn a_full_disk_under_standard_output_is_told() {
        let folder = kitchen("full");
        for args in PRINTS {
            let full = fs::File::options().write(true).open("/dev/full");
            let full = Stdio::from(full.expect("Linux has it"));
            let ended = printing(&folder, args, full).wait_with_output();
            let ended = ended.expect("the program ends");
            assert_eq!(ended.status.code(), Some(2), "{args:?}");
            let err = String::from_utf8_lossy(&ended.stderr);
            let told: &[&str] = match args.contains(&"--json") {
                true => &[
                    "\"code\": \"I002\"",
                    "standard output",
                    "cannot be written: ",
                ],
                false => &["standard output: error[I002]: cannot be written: "],
            };
            assert!(told.iter().all(|t| err.contains(t)), "{args:?}: {err}");
        }
    }

    #[test]
    fn a_closed_pipe_is_no_error() {
        let folder = kitchen("closed");
        for args in PRINTS {
            let mut child = printing(&folder, args, Stdio::piped());
            drop(child.stdout.take());
            let ended = child.wait_with_output().expect("the program ends");
            assert_eq!(ended.status.code(), Some(0), "{args:?}");
            assert!(ended.stderr.is_empty(), "{args:?}");
        }
    }
}
