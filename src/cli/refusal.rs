//! Problems as they leave the program: as text, or as JSON where that is asked.

use std::io::Write as _;

use clap::error::{ContextKind, ContextValue};

use super::session::json;
use crate::answer::{Refused, Versions};
use crate::diagnostic::{Choice, Diagnostic, Problems};
use crate::engine::versions;
use crate::load::Files;

/// Problems that ended a run, with the versions of the data they arose on.
pub struct Refusal {
    /// What is wrong.
    pub problems: Problems,
    /// The versions.
    pub versions: Versions,
}

impl Refusal {
    /// Of data that could not be read.
    pub fn unread(problems: Problems) -> Self {
        Refusal {
            problems,
            versions: versions(None),
        }
    }

    /// Of a run that looked at no data but what is built in.
    pub fn built_in(problems: Problems) -> Self {
        Refusal {
            problems,
            versions: versions(Some(&Files::embedded())),
        }
    }

    /// Of arguments that are none.
    pub fn arguments(error: &clap::Error) -> Self {
        let text = error.to_string();
        let (message, rest) = text.split_once('\n').unwrap_or((&text, ""));
        let message = message.trim_start_matches("error: ");
        let help = rest.split_whitespace().collect::<Vec<_>>().join(" ");
        let mut problem = Diagnostic::new("A001", "arguments", message).help(help);
        for kind in [
            ContextKind::SuggestedSubcommand,
            ContextKind::SuggestedArg,
            ContextKind::SuggestedValue,
        ] {
            problem = problem.nearest(match error.get(kind) {
                Some(ContextValue::String(one)) => vec![Choice::word(one)],
                Some(ContextValue::Strings(some)) => some.iter().map(|s| Choice::word(s)).collect(),
                _ => vec![],
            });
        }
        Refusal::built_in(problem.into())
    }

    /// Tells it on standard error.
    pub fn tell(self, as_json: bool) {
        let text = match as_json {
            true => json(&Refused::of(self.versions, &self.problems)),
            false => format!("{}\n", self.problems),
        };
        let _ = anstream::stderr().write_all(text.as_bytes());
    }
}
