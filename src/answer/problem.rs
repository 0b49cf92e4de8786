//! Problems as data: what a program is told in place of an answer.

use serde::{Deserialize, Serialize};

use super::{Named, Versions};
use crate::diagnostic::{CellPlace, Diagnostic, Place, Problems};
use crate::model::closed;

/// What is told in place of an answer.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Refused {
    /// The versions.
    #[serde(flatten)]
    pub versions: Versions,
    /// Every problem.
    pub errors: Vec<ProblemOut>,
}

/// One problem.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProblemOut {
    /// A code that is never reused: `A` arguments, `D` data, `F` formula, `I` surroundings, `K` keeping,
    /// `Q` question, `S` swap.
    pub code: String,
    /// How grave it is.
    pub severity: Gravity,
    /// Where it is.
    pub place: PlaceOut,
    /// What is wrong.
    pub message: String,
    /// The way out; `None` where none is known.
    pub help: Option<String>,
    /// What may have been meant, nearest first.
    pub nearest: Vec<Named>,
}

closed! {
    /// How grave a problem is.
    pub enum Gravity {
        /// There is no answer.
        Error => "error",
    }
}

/// Where a problem is, as far as it is known; all count from 1.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct PlaceOut {
    /// File, or what was typed: `question`, `condition`, `name` ...
    pub file: String,
    /// Line of the text.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line: Option<usize>,
    /// Column of the line, in characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub column: Option<usize>,
    /// Sheet of a spreadsheet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// Cell of a spreadsheet: `B3`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cell: Option<String>,
}

impl Refused {
    /// Problems with the versions of the data they arose on.
    pub fn of(versions: Versions, problems: &Problems) -> Self {
        Refused {
            versions,
            errors: problems.0.iter().map(ProblemOut::of).collect(),
        }
    }
}

impl ProblemOut {
    fn of(problem: &Diagnostic) -> Self {
        let near = match problem.nearest.is_empty() {
            true => &problem.choices,
            false => &problem.nearest,
        };
        let near = near.iter().map(|choice| Named {
            id: choice.id.clone(),
            name: choice.name.clone(),
        });
        ProblemOut {
            code: problem.code.to_string(),
            severity: Gravity::Error,
            place: PlaceOut::of(&problem.place),
            message: problem.message.clone(),
            help: problem.help.clone(),
            nearest: near.collect(),
        }
    }
}

impl PlaceOut {
    fn of(place: &Place) -> Self {
        let counted = |n: usize| (n > 0).then_some(n);
        PlaceOut {
            file: place.file.clone(),
            line: counted(place.line),
            column: counted(place.column),
            sheet: place.cell.as_ref().map(|cell| cell.sheet.clone()),
            cell: place.cell.as_ref().map(CellPlace::name),
        }
    }
}
