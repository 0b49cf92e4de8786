//! What came of the checks of a formula, in words.

use super::{level, verdict_said};
use crate::answer::LegalCheckOut;
use crate::engine::Engine;

impl Engine {
    /// The checks of a formula, a line each; what has no figure to keep to, and what is not on file,
    /// in a line for each place and text.
    pub(super) fn checks_told(&self, checks: &[LegalCheckOut]) -> Vec<String> {
        let mut out: Vec<String> = vec![];
        let mut together: Vec<(&LegalCheckOut, Vec<String>)> = vec![];
        for check in checks {
            if !["permitted", "not known"].contains(&check.verdict.as_str()) {
                out.push(check.said.clone());
                continue;
            }
            let (_, mg) = check.level_mg_per_kg;
            let name = format!("{} {}", check.substances.join(" and "), level(mg));
            let alike = |c: &LegalCheckOut| {
                (&c.jurisdiction, &c.verdict, &c.source, &c.locator)
                    == (
                        &check.jurisdiction,
                        &check.verdict,
                        &check.source,
                        &check.locator,
                    )
            };
            match together.iter_mut().find(|(c, _)| alike(c)) {
                Some((_, names)) => names.push(name),
                None => together.push((check, vec![name])),
            }
        }
        // What is permitted goes before what is not on file.
        together.sort_by_key(|(check, _)| check.verdict != "permitted");
        for (check, names) in together {
            let place = self.catalogue.law.called(&check.jurisdiction);
            let state = check.said.rfind('[').map_or("", |at| &check.said[at..]);
            out.push(match check.verdict.as_str() {
                "permitted" => format!(
                    "{place}: permitted without a figure (quantum satis, good practice): {}. {state}",
                    names.join(", ")
                ),
                _ => format!("{place}: not known, no row on file for this food: {}.", names.join(", ")),
            });
        }
        out
    }

    /// The first line of an answer about a formula.
    pub(super) fn verdict_told(
        &self,
        checks: &[LegalCheckOut],
        class: &str,
        places: &[String],
    ) -> String {
        // Each substance once, with the places of each verdict.
        let of = |verdicts: &[&str]| -> Vec<String> {
            let mut found: Vec<(String, Vec<&str>)> = vec![];
            for check in checks
                .iter()
                .filter(|c| verdicts.contains(&c.verdict.as_str()))
            {
                let place = self.catalogue.law.called(&check.jurisdiction);
                let one = format!(
                    "{} {}",
                    check.substances.join(" and "),
                    verdict_said(&check.verdict)
                );
                match found.iter_mut().find(|(said, _)| *said == one) {
                    Some((_, places)) => places.push(place),
                    None => found.push((one, vec![place])),
                }
            }
            let told = found.into_iter();
            told.map(|(said, places)| format!("{said} in {}", places.join(", ")))
                .collect()
        };
        let called: Vec<&str> = places
            .iter()
            .map(|p| self.catalogue.law.called(p))
            .collect();
        let head = match places.len() == self.jurisdictions().len() {
            true => format!("As {}", self.food(class)),
            false => format!("As {} in {}", self.food(class), called.join(", ")),
        };
        let against = of(&["not authorised", "over"]);
        let open = of(&["may be over", "not compared", "not known"]);
        match (against.is_empty(), open.is_empty(), checks.is_empty()) {
            (false, ..) => format!("{head}: no, not as it stands: {}.", against.join("; ")),
            (_, _, true) => format!(
                "{head}: none of its lines is an additive with a row on file; that is no permission."
            ),
            (_, false, _) => format!("{head}: not settled: {}.", open.join("; ")),
            (true, true, false) => format!(
                "{head}: each additive on file keeps to its figure; the conditions in brackets are not judged, nor what bought ingredients bring along."
            ),
        }
    }
}
