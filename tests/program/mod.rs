//! The program run with fixed surroundings: 80 columns, no colour, a cache of its own.
#![allow(dead_code)] // each test uses a part of it

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use assert_cmd::Command;

/// A folder below the build's own, empty at first use in each run of a test.
pub fn fresh_folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder to write to");
    folder
}

/// One cache per test file, so that no earlier build's cache is used.
pub fn cache() -> &'static Path {
    static CACHE: OnceLock<PathBuf> = OnceLock::new();
    CACHE.get_or_init(|| fresh_folder(concat!("cache-", env!("CARGO_CRATE_NAME"))))
}

/// The program, about to run in the project's folder.
pub fn tamis() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tamis"));
    command
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .env("COLUMNS", "80")
        .env("NO_COLOR", "1")
        .env("TAMIS_OWN", "")
        .env("TAMIS_CACHE", cache());
    command
}

/// What came of a run.
pub struct Ran {
    /// Exit code; a crash has none.
    pub code: Option<i32>,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Runs the program on its arguments.
pub fn run(args: &[&str]) -> Ran {
    ran(tamis().args(args))
}

/// Runs a command to its end.
pub fn ran(command: &mut Command) -> Ran {
    let output = command.output().expect("the program runs");
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).expect("UTF-8"),
        err: String::from_utf8_lossy(&output.stderr).into_owned(),
    }
}

/// Path of a shipped formula, below the project's folder.
pub fn formula(name: &str) -> String {
    format!("data/formulas/{name}.csv")
}
