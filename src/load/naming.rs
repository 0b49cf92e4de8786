//! `data/defaults.csv`, `qualifiers.csv`, `variants.csv`, `syrup-names.csv`, `other-foods.csv`, `pieces.csv` and
//! `grades.toml`: how names vary.

use std::collections::{BTreeMap, HashMap, HashSet};

use serde::Deserialize;

use super::assemble::table;
use super::files::Files;
use super::table::Table;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::model::naming::Counted;
use crate::model::{
    Catalogue, Grade, Kin, Meant, Naming, Piece, Qualifier, SyrupKind, SyrupWords, fold,
};

/// The kind of a word that says that several things are mixed.
const MIXING: &str = "mix";
/// Words for what a qualifier tells.
const QUALIFIERS: [(&str, Qualifier); 4] = [
    ("link", Qualifier::Link),
    ("plain", Qualifier::Plain),
    ("form", Qualifier::Form),
    ("tail", Qualifier::Tail),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GradeFile {
    unit: Vec<WrittenUnit>,
    grade: Vec<WrittenGrade>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenUnit {
    id: String,
    say: String,
    words: Vec<String>,
    of: Option<String>,
    times: Option<f64>,
    #[serde(default)]
    added: bool,
    property: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WrittenGrade {
    id: String,
    unit: String,
    #[serde(default)]
    bare: bool,
    tolerance: f64,
    #[serde(default)]
    between: bool,
    #[serde(default)]
    apart: bool,
    beyond: Option<f64>,
    #[serde(default)]
    name: String,
    line: BTreeMap<String, f64>,
    #[serde(default)]
    also: BTreeMap<String, f64>,
    #[serde(default)]
    low: BTreeMap<String, f64>,
    #[serde(default)]
    high: BTreeMap<String, f64>,
}

/// Reads how names vary for an indexed catalogue.
///
/// Errors: every problem of form, and every name of an ingredient that is none.
pub fn naming(files: &Files, catalogue: &Catalogue) -> Result<Naming, Problems> {
    let mut reader = Reader {
        files,
        catalogue,
        problems: vec![],
    };
    let (qualifiers, mixing) = reader.qualifiers();
    let mut naming = Naming {
        meant: reader.defaults(),
        qualifiers,
        mixing,
        foods: reader.foods(),
        syrups: reader.syrups(),
        variants: reader.variants(),
        pieces: reader.pieces(),
        ..Naming::default()
    };
    naming.join_phrases();
    reader.grades(&mut naming);
    match reader.problems.is_empty() {
        true => Ok(naming),
        false => Err(Problems(reader.problems)),
    }
}

struct Reader<'a> {
    files: &'a Files,
    catalogue: &'a Catalogue,
    problems: Vec<Diagnostic>,
}

impl<'a> Reader<'a> {
    fn table(&mut self, path: &'a str, wanted: &[&str]) -> Option<Table<'a>> {
        table(self.files, path, wanted, &mut self.problems)
    }

    /// Whether an id is one; what is near is told where it is not.
    fn known(&mut self, t: &Table<'_>, r: &super::Record, column: &str, id: &str) -> bool {
        let known = self.catalogue.key(id).is_some();
        if !known {
            let ids = self.catalogue.ingredients.iter().map(|i| i.id.as_str());
            let near = nearest(id, ids).map(|n| format!("the nearest id is `{n}`"));
            let problem = t.cell_problem("D011", r, column, format!("no ingredient is `{id}`"));
            self.problems.push(problem.help_opt(near));
        }
        known
    }

    fn defaults(&mut self) -> HashMap<String, Meant> {
        let mut out = HashMap::new();
        let columns = ["name", "ingredient", "where", "reason"];
        let Some(t) = self.table("data/defaults.csv", &columns) else {
            return out;
        };
        for r in &t.records {
            let mut ids = t.list(r, "ingredient");
            ids.retain(|id| self.known(&t, r, "ingredient", id));
            let place = t.get(r, "where");
            if !["", "formula", "unfrozen"].contains(&place) {
                let message = format!("`{place}` is no place where a name is read");
                let problem = t.cell_problem("D012", r, "where", message);
                let help = "write `formula` for a word that only a line of a formula means so, `unfrozen` where the first is meant in what is not frozen, else nothing";
                self.problems.push(problem.help(help));
            }
            let meant = Meant {
                ids,
                reason: t.own(r, "reason"),
                formula_only: place == "formula",
                unfrozen: place == "unfrozen",
            };
            let name = fold(t.get(r, "name"));
            if out.insert(name, meant).is_some() {
                let message = format!("`{}` stands twice", t.get(r, "name"));
                let problem = t.cell_problem("D007", r, "name", message);
                self.problems
                    .push(problem.help("delete one of the two rows"));
            }
        }
        out
    }

    /// What words beside a name tell, and those that say that several things are mixed.
    fn qualifiers(&mut self) -> (HashMap<String, Qualifier>, HashSet<String>) {
        let (mut out, mut mixing) = (HashMap::new(), HashSet::new());
        let Some(t) = self.table("data/qualifiers.csv", &["word", "kind"]) else {
            return (out, mixing);
        };
        for r in &t.records {
            let kind = t.get(r, "kind");
            if kind == MIXING {
                mixing.insert(fold(t.get(r, "word")));
                continue;
            }
            match QUALIFIERS.iter().find(|(word, _)| *word == kind) {
                Some((_, kind)) => {
                    out.insert(fold(t.get(r, "word")), *kind);
                }
                None => {
                    let message = format!("`{kind}` is no kind of qualifier");
                    let problem = t.cell_problem("D012", r, "kind", message);
                    let known = QUALIFIERS.map(|(word, _)| word).join(", ");
                    let help = format!("one of {known}, {MIXING}");
                    self.problems.push(problem.help(help));
                }
            }
        }
        (out, mixing)
    }

    fn foods(&mut self) -> HashSet<String> {
        let t = self.table("data/other-foods.csv", &["word"]);
        let rows = t.iter().flat_map(|t| t.records.iter().map(move |r| (t, r)));
        rows.map(|(t, r)| fold(t.get(r, "word"))).collect()
    }

    fn syrups(&mut self) -> SyrupWords {
        let mut out = SyrupWords::default();
        let Some(t) = self.table("data/syrup-names.csv", &["word", "kind"]) else {
            return out;
        };
        for r in &t.records {
            let word = fold(t.get(r, "word"));
            let kind = match t.get(r, "kind") {
                "liquid" => SyrupKind::Liquid,
                "dried" => SyrupKind::Dried,
                "maltodextrin" => SyrupKind::Maltodextrin,
                "between" => {
                    out.between.insert(word);
                    continue;
                }
                "other" => {
                    out.others.insert(word);
                    continue;
                }
                kind => {
                    let message = format!("`{kind}` is no kind of word about syrups");
                    let problem = t.cell_problem("D012", r, "kind", message);
                    let help = "one of liquid, dried, maltodextrin, between, other";
                    self.problems.push(problem.help(help));
                    continue;
                }
            };
            out.names.push((word, kind));
        }
        let words = |name: &str| name.split(' ').count();
        (out.names).sort_by_key(|(name, _)| std::cmp::Reverse(words(name)));
        out
    }

    fn variants(&mut self) -> HashMap<String, String> {
        let t = self.table("data/variants.csv", &["written", "word"]);
        let rows = t.iter().flat_map(|t| t.records.iter().map(move |r| (t, r)));
        rows.map(|(t, r)| (fold(t.get(r, "written")), fold(t.get(r, "word"))))
            .collect()
    }

    fn pieces(&mut self) -> Vec<Piece> {
        let mut out = vec![];
        let columns = ["ingredient", "piece", "low", "typical", "high", "source"];
        let Some(t) = self.table("data/pieces.csv", &columns) else {
            return out;
        };
        for r in &t.records {
            let ingredient = t.own(r, "ingredient");
            if !self.known(&t, r, "ingredient", &ingredient) {
                continue;
            }
            if !self.catalogue.sources.contains_key(t.get(r, "source")) {
                let message = format!("no source is `{}`", t.get(r, "source"));
                let problem = t.cell_problem("D009", r, "source", message);
                self.problems.push(problem.help("one of data/sources.csv"));
            }
            let mut number = |column| t.number(r, column, &mut self.problems);
            let (low, typical, high) = (number("low"), number("typical"), number("high"));
            let Some(typical) = typical.filter(|grams| *grams > 0.0) else {
                let problem = t.cell_problem("D005", r, "typical", "a piece weighs something");
                self.problems.push(problem.help("write grams"));
                continue;
            };
            out.push(Piece {
                ingredient,
                piece: fold(t.get(r, "piece")),
                low: low.unwrap_or(typical),
                typical,
                high: high.unwrap_or(typical),
                source: t.own(r, "source"),
            });
        }
        out
    }

    /// A group among the members of a grade stands for each of its own.
    fn expand(&self, members: &mut BTreeMap<String, f64>) {
        let groups = members.keys().filter_map(|id| self.catalogue.group(id));
        let groups: Vec<&Kin> = groups.collect();
        for group in groups {
            let Some(figure) = members.remove(&group.id) else {
                continue;
            };
            for id in &group.members {
                members.entry(id.clone()).or_insert(figure);
            }
        }
    }

    fn grades(&mut self, naming: &mut Naming) {
        const PATH: &str = "data/grades.toml";
        let Some(text) = self.files.text(PATH) else {
            let problem = Diagnostic::new("D006", PATH, "the file is missing");
            self.problems
                .push(problem.help("write it with [[unit]] and [[grade]]"));
            return;
        };
        let file: GradeFile = match toml::from_str(text) {
            Ok(file) => file,
            Err(error) => {
                let message = error.message().to_string();
                let line = error.span().map_or(1, |span| {
                    text[..span.start].bytes().filter(|b| *b == b'\n').count() + 1
                });
                let problem = Diagnostic::new("D060", PATH, message).at(line, 1);
                self.problems
                    .push(problem.help("see the other entries of the file"));
                return;
            }
        };
        for unit in file.unit {
            for word in &unit.words {
                naming.units.insert(fold(word), unit.id.clone());
            }
            let counted = Counted {
                say: unit.say,
                of: unit.of.unwrap_or_else(|| unit.id.clone()),
                times: unit.times.unwrap_or(1.0),
                added: unit.added,
                property: unit.property,
            };
            naming.counted.insert(unit.id, counted);
        }
        for mut grade in file.grade {
            for members in [&mut grade.line, &mut grade.also] {
                self.expand(members);
            }
            let mut wrong = vec![];
            if !naming.counted.contains_key(&grade.unit) {
                wrong.push(format!("no unit is `{}`", grade.unit));
            }
            let lists = [&grade.line, &grade.also, &grade.low, &grade.high];
            let ids = lists.into_iter().flat_map(BTreeMap::keys);
            let unknown = ids.filter(|id| self.catalogue.key(id).is_none());
            wrong.extend(unknown.map(|id| format!("no ingredient is `{id}`")));
            for message in wrong {
                let line = text
                    .lines()
                    .position(|l| l == format!("id = \"{}\"", grade.id));
                let message = format!("grade `{}`: {message}", grade.id);
                let problem = Diagnostic::new("D011", PATH, message);
                let problem = problem.at(line.map_or(1, |n| n + 1), 1);
                self.problems
                    .push(problem.help("write an id of data/ingredients.csv"));
            }
            let sorted = |members: BTreeMap<String, f64>| {
                let mut members: Vec<(String, f64)> = members.into_iter().collect();
                members.sort_by(|a, b| a.1.total_cmp(&b.1));
                members
            };
            naming.grades.push(Grade {
                id: grade.id,
                unit: grade.unit,
                bare: grade.bare,
                tolerance: grade.tolerance,
                between: grade.between,
                apart: grade.apart,
                beyond: grade.beyond,
                name: grade.name,
                line: sorted(grade.line),
                also: sorted(grade.also),
                low: grade.low.into_iter().next(),
                high: grade.high.into_iter().next(),
            });
        }
    }
}
