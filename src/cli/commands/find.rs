//! `tamis find`: ingredients by name or by property.

use crate::answer::Answer;
use crate::cli::session::Session;
use crate::diagnostic::Problems;
use crate::engine::SearchRequest;

/// Search ingredients by name or by property
#[derive(clap::Args, Debug)]
#[command(
    after_help = "Examples:\n  tamis find carob\n  tamis find \"hydration temperature below 60 C and vegan\"\n  tamis find gum --where \"cold_soluble = yes\"\n  tamis find \"thickeners without starch\"\n  tamis find --function emulsifier --where vegan"
)]
pub struct Flags {
    /// Names, numbers, jobs, or a condition
    pub words: Vec<String>,
    /// What must hold
    #[arg(long = "where", value_name = "CONDITION")]
    pub condition: Option<String>,
    /// Only what does this job, such as `thickener`
    #[arg(long, value_name = "JOB")]
    pub function: Option<String>,
    /// Only this family, such as `starch`
    #[arg(long, value_name = "FAMILY")]
    pub family: Option<String>,
    /// How many to show
    #[arg(long, default_value_t = 20)]
    pub limit: usize,
}

/// Searches.
pub fn run(session: &Session, flags: &Flags) -> Result<u8, Problems> {
    let request = SearchRequest {
        text: flags.words.join(" "),
        condition: flags.condition.clone(),
        function: flags.function.clone(),
        family: flags.family.clone(),
        limit: flags.limit,
    };
    session.answer(&Answer::Hits(session.engine.search(&request)?))
}
