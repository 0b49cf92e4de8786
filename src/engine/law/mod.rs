//! What the law permits: of a substance in a food, and of every additive of a formula.

mod caution;
mod check;
mod permission;
mod told;
mod words;

use words::{condition, food, level, remark, short, stop, verdict_said};

use crate::answer::{Asked, Kind, LegalCheckOut, LegalOut};
use crate::engine::Engine;
use crate::formula::{Dish, Formula};
use crate::model::law::{FoodCategory, Permission};

/// A text whose state in force is older than this many years is told as old.
const FRESH: i32 = 3;
/// Told with every answer of law.
const CLOSING: &str = "The file holds part of each law, not all of it, and laws change: check with the authority or a qualified person before selling.";
/// The end of what is said where a place has no row of a substance at all.
const NO_ROW: &str = "nothing on file names it.";
/// Classes of food that hold for every dish.
const ANY: &str = "*";

/// The category of a permission that holds for every food.
const ALL_FOOD: &str = "all food";

impl Engine {
    /// What the law says of substances, in a class of dish, or of the formula in hand.
    pub(super) fn legal(
        &self,
        asked: &mut Asked,
        substances: &[String],
        class: &str,
        jurisdictions: &[String],
        formula: Option<&Formula>,
    ) {
        asked.kind = Kind::Legal;
        let places = match jurisdictions.is_empty() {
            true => self.jurisdictions(),
            false => jurisdictions.to_vec(),
        };
        let mut legal = LegalOut::default();
        match (substances.is_empty(), formula) {
            (true, None) => {
                asked.ask =
                    "no formula is given: name yours with --in, or name the additive".into();
                return;
            }
            (true, Some(formula)) => {
                let class = match class {
                    "" => self.class_of(formula),
                    named => named.to_string(),
                };
                legal.checks = self.checked(formula, &class, &places);
                asked.ask = self.verdict_told(&legal.checks, &class, &places);
            }
            (false, _) => {
                // An additive named with a formula in hand is asked of in that dish.
                let class = match (class, formula) {
                    ("", Some(formula)) => self.class_of(formula),
                    (named, _) => named.to_string(),
                };
                for place in &places {
                    legal
                        .permissions
                        .extend(self.permitted(substances, &class, place));
                }
                asked.ask = self.permissions_told(&legal.permissions, substances, &class, &places);
                if let Some(formula) = formula {
                    let checks = self.checked(formula, &class, &places);
                    let names: Vec<String> = substances.iter().map(|s| self.named(s)).collect();
                    let of = |c: &LegalCheckOut| c.substances.iter().any(|n| names.contains(n));
                    legal.checks = checks.into_iter().filter(of).collect();
                }
            }
        }
        asked.told.extend(self.checks_told(&legal.checks));
        // The first line says of which places nothing at all is known.
        let telling = legal
            .permissions
            .iter()
            .filter(|p| !p.said.ends_with(NO_ROW));
        asked.told.extend(telling.map(|p| p.said.clone()));
        asked.told.extend(self.texts_of(&legal));
        asked.told.push(CLOSING.to_string());
        asked.legal = Some(legal);
    }

    /// Every jurisdiction a permission is on file for, in the order of the words that name them.
    pub(super) fn jurisdictions(&self) -> Vec<String> {
        let named = self
            .catalogue
            .law
            .words
            .iter()
            .filter(|w| w.meaning == "name");
        let known = |place: &str| {
            self.catalogue
                .permissions
                .iter()
                .any(|p| p.jurisdiction == place)
        };
        named
            .map(|w| w.detail.clone())
            .filter(|place| known(place))
            .collect()
    }

    pub(super) fn class_of(&self, formula: &Formula) -> String {
        let assessor = self.assessor();
        let apart = formula.taken_apart(&self.catalogue);
        let state = assessor.state(formula);
        Dish::of(assessor, &apart, &state).class
    }

    /// A substance as people call it.
    pub(super) fn named(&self, substance: &str) -> String {
        let key = self.catalogue.key(substance);
        key.map_or(substance.to_string(), |k| {
            self.catalogue.ingredient(k).name.clone()
        })
    }

    pub(super) fn food(&self, class: &str) -> String {
        let named = self.catalogue.classes.get(class);
        named.map_or(String::new(), |c| c.name.clone())
    }

    /// The categories of a class in one place: those of all food, then those of the class, or of the
    /// nearest class above it that has any there.
    pub(super) fn categories(&self, class: &str, place: &str) -> Vec<&FoodCategory> {
        let of = |class: &str| -> Vec<&FoodCategory> {
            let all = self.catalogue.law.categories.iter();
            let of = |c: &&FoodCategory| {
                c.jurisdiction == place && c.classes.iter().any(|one| one == class)
            };
            all.filter(of).collect()
        };
        let mut found = of(ANY);
        let mut at = class;
        while let Some(one) = self.catalogue.classes.get(at) {
            let own = of(at);
            if !own.is_empty() {
                found.extend(own);
                break;
            }
            at = &one.parent;
        }
        found
    }

    /// The permissions of substances in the first category of a class that has any.
    pub(super) fn rows(&self, substances: &[String], class: &str, place: &str) -> Vec<&Permission> {
        let all = self.catalogue.permissions.iter();
        let of = |p: &&Permission| p.jurisdiction == place && substances.contains(&p.substance);
        let of: Vec<&Permission> = all.filter(of).collect();
        if class.is_empty() {
            return of;
        }
        let within = |c: &&FoodCategory| -> Vec<&Permission> {
            of.iter().copied().filter(|p| c.holds(p)).collect()
        };
        let categories = self.categories(class, place);
        let mut found = categories.iter().map(within);
        found.find(|rows| !rows.is_empty()).unwrap_or_default()
    }

    /// Where an ingredient is authorised in no food at all, a sentence each.
    pub(super) fn barred(&self, id: &str) -> Vec<String> {
        let rows = self.catalogue.permissions.iter();
        let rows = rows.filter(|p| p.substance == id && p.category_name == ALL_FOOD);
        rows.filter(|p| p.status == "not authorised")
            .map(|p| {
                format!(
                    "Not in food for sale in the {}: {}.",
                    p.jurisdiction, p.condition
                )
            })
            .collect()
    }

    /// What a permission says, in a few words.
    pub(super) fn says(&self, row: &Permission) -> String {
        match (row.status.as_str(), row.most(), row.limit) {
            ("not authorised", ..) => "not authorised".into(),
            ("gmp", ..) => "permitted, no figure (quantum satis, good practice)".into(),
            ("permitted", ..) => "permitted, no figure on file".into(),
            (_, Some(most), _) => {
                let together = if row.shared() {
                    ", all of its group together"
                } else {
                    ""
                };
                let basis = match row.basis.as_str() {
                    "" => String::new(),
                    basis => format!(", {basis}"),
                };
                format!("at most {}{together}{basis}", level(most))
            }
            (_, None, Some(limit)) => format!("limit {limit} {}, {}", row.unit, row.basis),
            _ => "not known".into(),
        }
    }

    /// The text of a permission, its place and its state.
    pub(super) fn text_of(&self, row: &Permission) -> String {
        let today = self.year();
        let state = match (row.in_force_as_of.parse::<i32>(), row.year.as_str()) {
            (Ok(year), _) if today - year > FRESH => {
                format!("in force as of {year}: an old state, it may have changed")
            }
            (Ok(year), _) => format!("in force as of {year}"),
            (Err(_), "") => "state in force not known: an undated copy was read".into(),
            (Err(_), year) => {
                format!("a text of {year} whose state in force is not known: it may have changed")
            }
        };
        format!("[{}, {}; {state}]", row.source, row.locator)
    }

    /// The texts an answer rests on, each once by its full name.
    pub(super) fn texts_of(&self, legal: &LegalOut) -> Option<String> {
        let of = legal.permissions.iter().map(|p| &p.source);
        let mut ids: Vec<&String> = of.chain(legal.checks.iter().map(|c| &c.source)).collect();
        ids.retain(|id| !id.is_empty());
        ids.sort_unstable();
        ids.dedup();
        let cited = ids.iter().filter_map(|id| self.catalogue.sources.get(*id));
        let cited: Vec<String> = cited.map(|s| format!("{}: {}", s.id, s.citation)).collect();
        (!cited.is_empty()).then(|| format!("Texts: {}.", cited.join("; ")))
    }

    /// The year the data last changed.
    pub(super) fn year(&self) -> i32 {
        let edition = self.files.text("data/edition.toml").unwrap_or_default();
        let date = edition.split('"').nth(1).unwrap_or_default();
        date.split('-')
            .next()
            .and_then(|y| y.parse().ok())
            .unwrap_or(0)
    }
}
