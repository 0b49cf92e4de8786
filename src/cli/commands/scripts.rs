//! `tamis completions` and `tamis man`: what a shell and a manual need.

use clap::CommandFactory;

use crate::cli::args::Args;
use crate::cli::writer::write;
use crate::diagnostic::Problems;

/// Print a completion script for a shell
#[derive(clap::Args, Debug)]
pub struct Flags {
    /// Which shell
    pub shell: clap_complete::Shell,
}

/// Prints a completion script.
pub fn completions(flags: &Flags) -> Result<u8, Problems> {
    let mut out = vec![];
    clap_complete::generate(flags.shell, &mut Args::command(), "tamis", &mut out);
    write(&String::from_utf8_lossy(&out))?;
    Ok(0)
}

/// Prints the manual page.
pub fn man() -> Result<u8, Problems> {
    let mut out = vec![];
    let _ = clap_mangen::Man::new(Args::command()).render(&mut out);
    write(&String::from_utf8_lossy(&out))?;
    Ok(0)
}
