//! Where a value comes from.

use super::closed::closed;

closed! {
    /// What sort of evidence a source is.
    pub enum SourceKind {
        /// A standard, such as a Codex standard.
        Standard => "standard",
        /// A law or regulation.
        Regulation => "regulation",
        /// A handbook of data.
        Handbook => "handbook",
        /// A textbook.
        Textbook => "textbook",
        /// A scientific paper.
        Paper => "paper",
        /// A published data set.
        Dataset => "dataset",
        /// A public web page that is none of the above; weak.
        Web => "web",
        /// A fact of the trade that needs no source.
        CommonPractice => "common-practice",
        /// A named rule of this project.
        Derived => "derived",
        /// Recalled, not looked up.
        Memory => "memory",
        /// Made up for demonstration.
        Invented => "invented",
        /// Entered by the person who runs the program.
        Own => "own",
    }
}

impl SourceKind {
    /// Standards, regulations, handbooks, textbooks, papers and data sets.
    pub fn published(self) -> bool {
        use SourceKind::*;
        matches!(
            self,
            Standard | Regulation | Handbook | Textbook | Paper | Dataset
        )
    }

    /// Kinds whose values must say where in the source they stand.
    pub fn needs_locator(self) -> bool {
        self.published() || self == SourceKind::Web
    }
}

/// A source that values name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Short name that value rows use.
    pub id: String,
    /// What sort of evidence it is.
    pub kind: SourceKind,
    /// Full citation.
    pub citation: String,
    /// Year of publication; empty for rules and memory.
    pub year: String,
    /// Where it can be read, when known.
    pub address: String,
}
