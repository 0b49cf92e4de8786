//! One command a file: flags to a request, the request to the engine, its answer printed.

pub mod adjust;
pub mod ask;
pub mod assess;
pub mod check;
pub mod compare;
pub mod completeness;
pub mod export;
pub mod find;
pub mod label;
pub mod own;
pub mod plan;
pub mod properties;
pub mod scripts;
pub mod sheet;
pub mod show;
pub mod sources;
pub mod swap;
mod wanted;

use crate::cli::args::{Args, Command};
use crate::cli::refusal::Refusal;
use crate::cli::session::Session;

/// Runs the command that was typed; the exit code.
pub fn run(args: &Args) -> Result<u8, Refusal> {
    let early = match &args.command {
        Command::Completions(flags) => Some(scripts::completions(flags)),
        Command::Man => Some(scripts::man()),
        Command::Own(own::Flags { init: Some(folder) }) => Some(own::init(args, folder)),
        _ => None,
    };
    if let Some(early) = early {
        return early.map_err(Refusal::built_in);
    }
    let session = &Session::open(args)?;
    let code = match &args.command {
        Command::Ask(flags) => ask::run(session, flags),
        Command::Assess(flags) => assess::run(session, flags),
        Command::Plan(flags) => plan::run(session, flags),
        Command::Sheet(flags) => sheet::run(session, flags),
        Command::Label(flags) => label::run(session, flags),
        Command::Swap(flags) => swap::run(session, flags),
        Command::Adjust(flags) => adjust::run(session, flags),
        Command::Find(flags) => find::run(session, flags),
        Command::Show(flags) => show::run(session, flags),
        Command::Compare(flags) => compare::run(session, flags),
        Command::Export(flags) => export::run(session, flags),
        Command::Sources(flags) => sources::run(session, flags),
        Command::Properties => properties::run(session),
        Command::Completeness(flags) => completeness::run(session, flags),
        Command::Check(_) => check::run(session),
        Command::Own(_) => own::run(session),
        Command::Completions(_) | Command::Man => Ok(0),
    };
    code.map_err(|problems| session.refused(problems))
}
