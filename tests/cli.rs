//! What a person sees: the worked examples of `tests/cli/` and the examples of the README.

use std::path::Path;

mod program;

fn examples() -> trycmd::TestCases {
    let cases = trycmd::TestCases::new();
    cases
        .env("COLUMNS", "80")
        .env("NO_COLOR", "1")
        .env("TAMIS_OWN", "")
        .env("TAMIS_CACHE", program::cache().display().to_string())
        .register_bin("tamis", Path::new(env!("CARGO_BIN_EXE_tamis")));
    cases
}

#[test]
fn examples_of_the_program_hold() {
    examples().case("tests/cli/*.md");
}

#[test]
fn examples_of_the_readme_hold() {
    if Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("README.md")
        .exists()
    {
        examples().case("README.md");
    }
}
