//! Where a value comes from.

/// What sort of evidence a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SourceKind {
    /// A standard, such as a Codex standard.
    Standard,
    /// A law or regulation.
    Regulation,
    /// A handbook of data.
    Handbook,
    /// A textbook.
    Textbook,
    /// A scientific paper.
    Paper,
    /// A published data set.
    Dataset,
    /// A public web page that is none of the above; weak.
    Web,
    /// A fact of the trade that needs no source.
    CommonPractice,
    /// A named rule of this project.
    Derived,
    /// Recalled, not looked up.
    Memory,
    /// Made up for demonstration.
    Invented,
    /// Entered by the person who runs the program.
    Own,
}

impl SourceKind {
    /// Every kind with the word the data files use.
    pub const ALL: [(SourceKind, &'static str); 12] = [
        (SourceKind::Standard, "standard"),
        (SourceKind::Regulation, "regulation"),
        (SourceKind::Handbook, "handbook"),
        (SourceKind::Textbook, "textbook"),
        (SourceKind::Paper, "paper"),
        (SourceKind::Dataset, "dataset"),
        (SourceKind::Web, "web"),
        (SourceKind::CommonPractice, "common-practice"),
        (SourceKind::Derived, "derived"),
        (SourceKind::Memory, "memory"),
        (SourceKind::Invented, "invented"),
        (SourceKind::Own, "own"),
    ];

    /// The kind a data file's word means.
    pub fn parse(word: &str) -> Option<SourceKind> {
        Self::ALL
            .iter()
            .find(|(_, w)| *w == word)
            .map(|(kind, _)| *kind)
    }

    /// The word the data files use.
    pub fn word(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(kind, _)| *kind == self)
            .map_or("memory", |(_, word)| word)
    }

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
