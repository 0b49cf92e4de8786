//! `data/label/*.csv`: what labels say, by jurisdiction.

use std::collections::BTreeMap;

use super::assemble::table;
use super::files::Files;
use super::table::{Record, Table};
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::Catalogue;
use crate::model::label::{
    AdditiveClass, Band, Claim, Compound, EnergyFactor, Jurisdiction, LabelName, LabelRule, Labels,
    Notice, Nutrient, Step, Sum, Together, Who,
};

/// Reads the tables of labels for an indexed catalogue.
///
/// Errors: every problem of form (`D0xx`), a source that is none (`D009`), and a cell that names no
/// jurisdiction, group, ingredient, family or property (`D090`).
pub fn labels(files: &Files, catalogue: &Catalogue) -> Result<Labels, Problems> {
    let mut reader = Reader {
        files,
        catalogue,
        groups: groups(catalogue),
        labels: Labels::default(),
        problems: vec![],
    };
    reader.jurisdictions();
    reader.rules();
    reader.words();
    reader.nutrition();
    reader.notices();
    reader.claims();
    match reader.problems.is_empty() {
        true => Ok(reader.labels),
        false => Err(Problems(reader.problems)),
    }
}

/// Every group with its ingredients and those of the groups below it.
fn groups(catalogue: &Catalogue) -> BTreeMap<String, Who> {
    let each = catalogue.groups.iter();
    each.map(|kin| (kin.id.clone(), kin.members.iter().cloned().collect()))
        .collect()
}

struct Reader<'a> {
    files: &'a Files,
    catalogue: &'a Catalogue,
    groups: BTreeMap<String, Who>,
    labels: Labels,
    problems: Vec<Diagnostic>,
}

impl<'a> Reader<'a> {
    fn table(&mut self, path: &'a str, wanted: &[&str]) -> Option<Table<'a>> {
        table(self.files, path, wanted, &mut self.problems)
    }

    fn claims(&mut self) {
        const CLAIMS: &str = "data/label/claims.csv";
        let columns = [
            "claim",
            "words",
            "jurisdiction",
            "nutrient",
            "comparison",
            "figure",
            "unit",
            "condition",
            "source",
            "locator",
        ];
        let Some(t) = self.table(CLAIMS, &columns) else {
            return;
        };
        for r in &t.records {
            let (source, locator) = self.sourced(&t, r);
            let comparison = t.get(r, "comparison");
            if !Claim::COMPARISONS.contains(&comparison) {
                let message = format!("`{comparison}` is no comparison of a claim");
                let help = format!("one of {}", Claim::COMPARISONS.join(", "));
                self.wrong(&t, r, "comparison", message, help);
            }
            let claim = Claim {
                name: t.own(r, "claim"),
                words: t.list(r, "words"),
                jurisdiction: self.place(&t, r),
                nutrient: t.own(r, "nutrient"),
                comparison: t.own(r, "comparison"),
                figure: t.number(r, "figure", &mut self.problems).unwrap_or(0.0),
                unit: t.own(r, "unit"),
                condition: t.own(r, "condition"),
                source,
                locator,
            };
            self.labels.claims.push(claim);
        }
    }

    fn wrong(&mut self, t: &Table<'_>, r: &Record, column: &str, message: String, help: String) {
        let problem = t.cell_problem("D090", r, column, message);
        self.problems.push(problem.help(help));
    }

    fn sourced(&mut self, t: &Table<'_>, r: &Record) -> (String, String) {
        let source = t.own(r, "source");
        if !self.catalogue.sources.contains_key(&source) {
            let message = format!("no source is `{source}`");
            let problem = t.cell_problem("D009", r, "source", message);
            self.problems.push(problem.help("one of data/sources.csv"));
        }
        self.labels.sources.insert(source.clone());
        (source, t.own(r, "locator"))
    }

    fn place(&mut self, t: &Table<'_>, r: &Record) -> String {
        let place = t.own(r, "jurisdiction");
        if !self.labels.jurisdictions.iter().any(|j| j.id == place) {
            let known: Vec<String> = (self.labels.jurisdictions.iter())
                .map(|j| j.id.clone())
                .collect();
            let message = format!("`{place}` is no jurisdiction");
            self.wrong(
                t,
                r,
                "jurisdiction",
                message,
                format!("one of {}", known.join(", ")),
            );
        }
        place
    }

    fn who(&mut self, t: &Table<'_>, r: &Record, column: &str) -> Who {
        let (mut who, mut out) = (Who::new(), Who::new());
        for word in t.list(r, column) {
            let (side, word) = match word.strip_prefix('-') {
                Some(rest) => (&mut out, rest),
                None => (&mut who, word.as_str()),
            };
            let of_family = |family: &str| -> Who {
                let all = self.catalogue.ingredients.iter();
                let held = all.filter(|i| i.family == family);
                held.map(|i| i.id.clone()).collect()
            };
            let found = match (word.strip_prefix("family "), self.groups.get(word)) {
                (Some(family), _) => of_family(family),
                (None, Some(group)) => group.clone(),
                (None, None) => (self.catalogue.key(word).iter())
                    .map(|_| word.to_string())
                    .collect(),
            };
            if found.is_empty() {
                let known = self.groups.keys().map(String::as_str);
                let near = nearest(word, known).map(|n| format!("the nearest group is `{n}`"));
                let message = format!("`{word}` is no group with members, ingredient or family");
                let help = near.unwrap_or("one of schema/groups.csv".into());
                let problem = t.cell_problem("D090", r, column, message);
                self.problems.push(problem.help(help));
            }
            side.extend(found);
        }
        who.retain(|id| !out.contains(id));
        who
    }

    fn sum(&mut self, t: &Table<'_>, r: &Record, column: &str) -> Sum {
        let (mut sum, mut sign, mut factor) = (Sum::new(), 1.0, 1.0);
        let cell = t.own(r, column);
        for word in cell.split_whitespace() {
            match (word, word.parse::<f64>()) {
                ("+", _) => sign = 1.0,
                ("-", _) => sign = -1.0,
                (_, Ok(number)) => factor = number,
                (property, Err(_)) => {
                    if self.catalogue.property(property).is_none() {
                        let message = format!("`{property}` is no property");
                        let help = "one of schema/properties.csv".to_string();
                        self.wrong(t, r, column, message, help);
                    }
                    sum.push((sign * factor, property.to_string()));
                    (sign, factor) = (1.0, 1.0);
                }
            }
        }
        sum
    }

    fn jurisdictions(&mut self) {
        let columns = ["id", "name", "follows", "allergen_list"];
        let Some(t) = self.table("data/label/jurisdictions.csv", &columns) else {
            return;
        };
        for r in &t.records {
            self.labels.jurisdictions.push(Jurisdiction {
                id: t.own(r, "id"),
                name: t.own(r, "name"),
                follows: t.own(r, "follows"),
                allergen_list: t.own(r, "allergen_list"),
            });
        }
    }

    fn rules(&mut self) {
        let columns = ["jurisdiction", "rule", "value", "text", "source", "locator"];
        let Some(t) = self.table("data/label/rules.csv", &columns) else {
            return;
        };
        for r in &t.records {
            let (source, locator) = self.sourced(&t, r);
            let jurisdiction = self.place(&t, r);
            self.labels.rules.push(LabelRule {
                jurisdiction,
                rule: t.own(r, "rule"),
                value: t.own(r, "value"),
                text: t.own(r, "text"),
                source,
                locator,
            });
        }
    }

    fn words(&mut self) {
        let columns = ["jurisdiction", "who", "name", "alone", "source", "locator"];
        if let Some(t) = self.table("data/label/names.csv", &columns) {
            for r in &t.records {
                self.sourced(&t, r);
                let (jurisdiction, who) = (self.place(&t, r), self.who(&t, r, "who"));
                self.labels.names.push(LabelName {
                    jurisdiction,
                    who,
                    name: t.own(r, "name"),
                    alone: t.get(r, "alone") == "yes",
                });
            }
        }
        let columns = ["jurisdiction", "name", "who", "source", "locator"];
        if let Some(t) = self.table("data/label/together.csv", &columns) {
            for r in &t.records {
                self.sourced(&t, r);
                let (jurisdiction, who) = (self.place(&t, r), self.who(&t, r, "who"));
                let name = t.own(r, "name");
                self.labels.together.push(Together {
                    jurisdiction,
                    name,
                    who,
                });
            }
        }
        let columns = ["function", "dish", "class", "source", "locator"];
        if let Some(t) = self.table("data/label/classes.csv", &columns) {
            for r in &t.records {
                self.sourced(&t, r);
                self.labels.classes.push(AdditiveClass {
                    function: t.own(r, "function"),
                    dish: t.own(r, "dish"),
                    class: t.own(r, "class"),
                });
            }
        }
        let columns = ["who", "text", "source", "locator"];
        if let Some(t) = self.table("data/label/compounds.csv", &columns) {
            for r in &t.records {
                self.sourced(&t, r);
                let who = self.who(&t, r, "who");
                let text = t.own(r, "text");
                self.labels.compounds.push(Compound { who, text });
            }
        }
    }

    fn nutrition(&mut self) {
        let columns = [
            "jurisdiction",
            "nutrient",
            "label",
            "unit",
            "sum",
            "within",
            "outside",
            "never",
            "indent",
            "status",
            "slack",
            "daily",
            "source",
            "locator",
        ];
        if let Some(t) = self.table("data/label/nutrients.csv", &columns) {
            for r in &t.records {
                let (source, locator) = self.sourced(&t, r);
                let number =
                    |column: &str, problems: &mut Vec<Diagnostic>| t.number(r, column, problems);
                let indent = number("indent", &mut self.problems);
                let slack = number("slack", &mut self.problems);
                let daily = number("daily", &mut self.problems);
                let row = Nutrient {
                    jurisdiction: self.place(&t, r),
                    nutrient: t.own(r, "nutrient"),
                    label: t.own(r, "label"),
                    unit: t.own(r, "unit"),
                    sum: self.sum(&t, r, "sum"),
                    within: self.who(&t, r, "within"),
                    outside: self.sum(&t, r, "outside"),
                    never: self.who(&t, r, "never"),
                    indent: indent.unwrap_or(0.0) as usize,
                    required: t.get(r, "status") == "required",
                    slack: slack.unwrap_or(0.0),
                    daily,
                    source,
                    locator,
                };
                self.labels.nutrients.push(row);
            }
        }
        let columns = [
            "jurisdiction",
            "component",
            "sum",
            "kcal_per_g",
            "kj_per_g",
            "source",
            "locator",
        ];
        if let Some(t) = self.table("data/label/energy.csv", &columns) {
            for r in &t.records {
                let (source, locator) = self.sourced(&t, r);
                let row = EnergyFactor {
                    jurisdiction: self.place(&t, r),
                    component: t.own(r, "component"),
                    sum: self.sum(&t, r, "sum"),
                    kcal: t.number(r, "kcal_per_g", &mut self.problems),
                    kilojoules: t.number(r, "kj_per_g", &mut self.problems),
                    source,
                    locator,
                };
                self.labels.energy.push(row);
            }
        }
        let columns = [
            "jurisdiction",
            "nutrients",
            "upto",
            "inclusive",
            "step",
            "shown",
            "source",
            "locator",
        ];
        if let Some(t) = self.table("data/label/rounding.csv", &columns) {
            for r in &t.records {
                self.sourced(&t, r);
                let step = match t.get(r, "step").split_once(' ') {
                    Some((figures, "figures")) => figures.parse().ok().map(Step::Figures),
                    _ => t
                        .number(r, "step", &mut self.problems)
                        .filter(|step| *step > 0.0)
                        .map(Step::Multiple),
                };
                let row = Band {
                    jurisdiction: self.place(&t, r),
                    nutrients: t.list(r, "nutrients"),
                    upto: t.number(r, "upto", &mut self.problems),
                    inclusive: t.get(r, "inclusive") == "yes",
                    step,
                    shown: t.own(r, "shown"),
                };
                if row.step.is_none() && row.shown.is_empty() {
                    let message = "a band needs a step or words".to_string();
                    let help = "a number, `3 figures`, or words under `shown`".to_string();
                    self.wrong(&t, r, "step", message, help);
                }
                self.labels.bands.push(row);
            }
        }
    }

    fn notices(&mut self) {
        let columns = [
            "id",
            "jurisdiction",
            "who",
            "of",
            "over",
            "from",
            "with",
            "without",
            "place",
            "text",
            "judge",
            "source",
            "locator",
        ];
        let Some(t) = self.table("data/label/notices.csv", &columns) else {
            return;
        };
        for r in &t.records {
            let (source, locator) = self.sourced(&t, r);
            let row = Notice {
                id: t.own(r, "id"),
                jurisdiction: self.place(&t, r),
                who: self.who(&t, r, "who"),
                of: self.sum(&t, r, "of"),
                over: t.number(r, "over", &mut self.problems),
                from: t.number(r, "from", &mut self.problems),
                with: self.who(&t, r, "with"),
                without: self.who(&t, r, "without"),
                place: t.own(r, "place"),
                text: t.own(r, "text"),
                judge: t.own(r, "judge"),
                source,
                locator,
            };
            self.labels.notices.push(row);
        }
    }
}
