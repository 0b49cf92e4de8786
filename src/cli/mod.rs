//! The command line: arguments in, the engine's answer out.

mod args;
mod brief;
mod brief_assessment;
mod card;
mod commands;
mod completeness;
mod curve;
mod formula_file;
mod keep;
mod own;
mod page;
mod plan;
mod print;
mod print_assessment;
mod print_knowledge;
mod print_known;
mod print_label;
mod print_sheet;
mod print_swap;
mod progress;
mod prompt;
mod refusal;
mod session;
mod sheet_page;
mod writer;

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use args::Args;
use refusal::Refusal;

/// Exit code for bad input.
const BAD_INPUT: u8 = 2;

/// Runs the program on its arguments.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    match Args::try_parse_from(&args) {
        Ok(parsed) => ended(commands::run(&parsed), parsed.json),
        Err(error) if error.use_stderr() && asks_json(&args) => {
            ended(Err(Refusal::arguments(&error)), true)
        }
        Err(error) => {
            let printed = error.print();
            if error.use_stderr() {
                return ExitCode::from(BAD_INPUT);
            }
            let told = writer::told(printed).map(|()| 0);
            ended(told.map_err(Refusal::built_in), false)
        }
    }
}

/// Whether JSON is asked for by arguments that are not understood.
fn asks_json(args: &[OsString]) -> bool {
    let mut flags = args.iter().take_while(|arg| *arg != "--");
    flags.any(|arg| arg == "--json")
}

/// The exit code, with every problem told.
fn ended(code: Result<u8, Refusal>, json: bool) -> ExitCode {
    match code {
        Ok(code) => ExitCode::from(code),
        Err(refusal) => {
            refusal.tell(json);
            ExitCode::from(BAD_INPUT)
        }
    }
}
