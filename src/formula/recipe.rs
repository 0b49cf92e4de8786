//! A formula: ingredients in grams, read from a file in any form with every problem named at once.

use std::collections::HashMap;

use super::amount::Weight;
use super::blend;
use super::class::by_words;
use super::sheet::{self, Block, Row, Sheet, Words};
use crate::diagnostic::{Choice, Diagnostic, Place, Problems};
use crate::model::{Catalogue, IngredientKey, Meant, Qualifier, fold};
use crate::names::{Names, Outcome, Taken};

/// Grams of one ingredient.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Which ingredient.
    pub key: IngredientKey,
    /// How much, g.
    pub grams: f64,
}

/// What was assumed of a line as it was written.
#[derive(Debug, Clone, PartialEq)]
pub struct Assumed {
    /// The name as typed.
    pub typed: String,
    /// What it was taken for.
    pub key: IngredientKey,
    /// What was assumed, a sentence each.
    pub said: Vec<String>,
    /// What else the name could mean.
    pub others: Vec<IngredientKey>,
}

/// Ingredients in grams.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Formula {
    /// Its name, from its title or its file.
    pub name: String,
    /// The dish a question says it is; empty where its name and figures tell.
    pub dish: String,
    /// The temperature it is kept or eaten at, C, where that is told.
    pub served: Option<f64>,
    /// Its lines, in the order written; one ingredient may stand once only after [`Formula::merged`].
    pub lines: Vec<Line>,
    /// What was assumed of them when they were read.
    pub assumed: Vec<Assumed>,
    /// What the file said that is no line of it, such as a total, and how amounts were taken.
    pub aside: Vec<String>,
    /// Lines of what is not known, which were left aside.
    pub left: Vec<Left>,
}

/// A line that no figure of its formula counts.
#[derive(Debug, Clone, PartialEq)]
pub struct Left {
    /// As it was written.
    pub typed: String,
    /// What it weighs; `None` where that is not known either.
    pub grams: Option<f64>,
}

impl Left {
    /// `40 g anchovy fillets`.
    pub fn told(&self) -> String {
        match self.grams {
            Some(grams) => format!("{} g {}", weighed(grams), self.typed),
            None => self.typed.clone(),
        }
    }
}

/// A formula file larger than this is not one, bytes.
pub const LARGEST: usize = 4_000_000;
/// Foremost functions of what a cook adds by taste: a missing amount of it is no gap in a formula.
const MINOR: [&str; 3] = ["flavour", "flavour enhancer", "colour"];
/// An unknown ingredient up to this share of the batch, %, is told among the rest, more of it in the first
/// line. Source: common-practice (flavours, colours and a pinch of spice lie below).
const TRACE: f64 = 1.0;
/// All that is not known up to this share of the batch, %, is left aside; more of it leaves no figure
/// that means anything. Source: common-practice.
const UNKNOWN: f64 = 35.0;
/// How near an unknown line is to the sum of the others where it is their total.
const SUM: f64 = 0.03;
/// Lines that are worth a total: of fewer, an unknown one may well weigh as much as the rest.
const SUMMED: usize = 3;
/// Up to this per cent a line beside lines in grams is a dose in per cent of the others, %.
/// Source: common-practice (salt, gums and acids are dosed so).
const DOSE: f64 = 5.0;
/// How near the amount of a title is to the sum of the lines below it, of what names a dish and of what
/// does not.
const BATCHED: f64 = 0.25;
const TITLED: f64 = 0.12;
/// A number before a name that is smaller counts something, whatever the form of the thing.
const FEW: f64 = 10.0;
/// Batch of a formula written in per cent alone, g. Source: common-practice.
const BATCH: f64 = 1000.0;

/// Forms that nobody counts.
const UNCOUNTED: [&str; 8] = [
    "powder",
    "crystals",
    "granulated",
    "flakes",
    "liquid",
    "paste",
    "puree",
    "syrup",
];

/// A line with an amount of something that is not known.
struct Unknown {
    problem: Diagnostic,
    typed: String,
    grams: Option<f64>,
    amount_place: Place,
    /// It stands where a total may.
    total: bool,
    /// It stands where a title may, and names a dish or not.
    title: Option<bool>,
}

/// What reading a formula needs beside its bytes.
#[derive(Clone, Copy)]
pub struct Reader<'a> {
    /// What is known.
    pub catalogue: &'a Catalogue,
    /// Resolves names.
    pub names: &'a Names,
    /// Words of sheets.
    pub words: &'a Words,
    /// Batch of a formula in per cent, g.
    pub batch: Option<f64>,
    /// What the person chose for names that can mean several things, by the folded name.
    pub picks: &'a HashMap<String, IngredientKey>,
}

impl Reader<'_> {
    /// Reads a formula file in any form; `sheet` is the one wanted of a spreadsheet.
    ///
    /// Errors: every problem at `file:line:column`: those of [`sheet::gather`], an ingredient that is
    /// not known (`F003`) or can mean several (`F004`), a missing amount (`F005`), a volume whose
    /// density is not known (`F009`), a formula that weighs nothing (`F010`), a piece whose weight is
    /// not known (`F018`), per cent beside other amounts (`F019`).
    pub fn read(&self, file: &str, sheet: Option<&str>, bytes: &[u8]) -> Result<Formula, Problems> {
        let mut problems = vec![];
        let Some(read) = sheet::gather(file, sheet, bytes, self.words, &mut problems) else {
            return Err(Problems(problems));
        };
        let mut formula = Formula {
            name: match read.title.is_empty() {
                true => stem(file),
                false => read.title.clone(),
            },
            ..Formula::default()
        };
        for (place, text) in &read.unread {
            formula
                .aside
                .push(format!("line {} was left aside: {text}", place.row()));
        }
        formula.aside.extend(read.said.iter().cloned());
        formula.left.extend(read.unsure.iter().map(|typed| Left {
            typed: typed.clone(),
            grams: None,
        }));
        let batch = self.batch_of(&read, &mut formula, &mut problems);
        let rows = self.shared(&read.rows, &mut formula);
        let part = |row: &Row| match row.part.is_empty() {
            true => plain_name(&read.title),
            false => plain_name(&row.part),
        };
        let made = made_here(rows.iter().map(part));
        let plain: Vec<String> = rows.iter().map(|row| plain_name(&row.typed)).collect();
        let troubled: Vec<_> = problems.iter().map(|p| p.place.clone()).collect();
        let mut unknown: Vec<Unknown> = vec![];
        let mut resolved = HashMap::new();
        let mut passing = vec![];
        let mut passed: Vec<&Row> = vec![];
        let dosed = dosed(&read.rows);
        let mut doses: Vec<(IngredientKey, &Row, f64)> = vec![];
        for (n, row) in rows.iter().enumerate() {
            let mut found = vec![];
            let name = &plain[n];
            if made.contains(name) && part(row) != *name {
                formula.aside.push(format!(
                    "`{}` is made in a part of its own and was not counted again",
                    row.excerpt.trim()
                ));
                continue;
            }
            if let Some((key, percent)) = self.dose(row, dosed, &mut resolved, &mut formula) {
                doses.push((key, row, percent));
                continue;
            }
            let mut key = self.ingredient(row, &mut resolved, &mut formula, &mut found);
            if key.is_none() && found.iter().all(|p| p.code == "F003") {
                key = self.once_more(row, (&rows[..n], &plain[..=n]), &mut formula);
                if key.is_some() {
                    found.clear();
                }
            }
            // A word of a sentence that is no name as it stands is a word.
            if row.prose
                && let Some(assumed) = formula.assumed.last()
                && key == Some(assumed.key)
                && assumed.typed == row.typed
                && self.is_mended(&row.typed)
            {
                formula.assumed.pop();
                key = None;
            }
            // An amount that could not be read is one all the same.
            let measured = !matches!(row.amount, sheet::Amount::Missing | sheet::Amount::ToTaste)
                || troubled.contains(&row.amount_place);
            let Some(key) = key else {
                if self.no_food(&row.typed) {
                    problems.retain(|p| p.place != row.amount_place);
                    formula.aside.push(format!(
                        "`{}` is no food and was not counted",
                        row.excerpt.trim()
                    ));
                    continue;
                }
                if row.block == Block::Above && read.title.is_empty() && rows.len() > SUMMED {
                    problems.retain(|p| p.place != row.amount_place);
                    formula.name = row.excerpt.trim().to_string();
                    let said = format!("`{}` was taken as the title", formula.name);
                    formula.aside.push(said);
                    continue;
                }
                // A remark, a heading or an instruction names nothing and weighs nothing.
                let named = found
                    .iter()
                    .any(|p| p.code != "F003" || row.typed.is_empty());
                match (named && !row.prose, measured && !row.prose) {
                    (true, true) => problems.extend(found),
                    (_, false) => {
                        let said =
                            format!("`{}` was not read as an ingredient", row.excerpt.trim());
                        formula.aside.push(said);
                        if measured || self.words.each_in(&row.typed) {
                            passed.push(row);
                        }
                    }
                    (false, true) => {
                        let grams = self.mass(row, batch);
                        // A total stands last, below what it sums up.
                        let total = n + 1 == rows.len() && n >= SUMMED;
                        let first = n == 0 && read.title.is_empty() && may_head(row);
                        let title = (first && rows.len() > SUMMED).then(|| {
                            let classes = &self.catalogue.classes;
                            by_words(classes, &row.excerpt).is_some_and(|(_, weight)| weight > 0)
                        });
                        unknown.extend(found.into_iter().map(|problem| Unknown {
                            problem,
                            typed: row.typed.clone(),
                            grams,
                            amount_place: row.amount_place.clone(),
                            total,
                            title,
                        }));
                    }
                }
                continue;
            };
            problems.extend(found);
            if troubled.contains(&row.amount_place) {
                continue;
            }
            if row.amount == sheet::Amount::Missing {
                if n == 0 && read.title.is_empty() {
                    formula.name = row.typed.clone();
                    continue;
                }
                let ingredient = self.catalogue.ingredient(key);
                let minor = ingredient
                    .functions
                    .first()
                    .is_some_and(|f| MINOR.contains(&f.as_str()));
                if minor || row.prose || self.remarked(&row.typed) {
                    formula
                        .aside
                        .push(format!("{}: no amount, so none was counted", row.typed));
                    // "yolks 12, or 240 if you use the carton"
                    if !minor && row.prose && row.typed.contains(|c: char| c.is_numeric()) {
                        passed.push(row);
                    }
                    continue;
                }
                if row.block == Block::Opens {
                    formula.aside.push(format!(
                        "`{}` has no amount and was taken as a heading",
                        row.excerpt.trim()
                    ));
                    continue;
                }
            }
            let key = self.counted(row, key, &mut formula);
            if n == 0 && read.title.is_empty() && self.heads(row, &rows[1..], batch) {
                formula.name = row.excerpt.trim().to_string();
                let said = format!("`{}` was taken as the title", formula.name);
                formula.aside.push(said);
                continue;
            }
            if let Some(grams) = self.grams(row, key, batch, &mut formula, &mut problems) {
                if row.prose {
                    passing.push((formula.lines.len(), row));
                }
                self.note(row, key, &mut formula);
                formula.lines.push(Line { key, grams });
            }
        }
        leave_repeated_aside(&mut formula, &passing);
        let others = formula.grams();
        for (key, row, percent) in doses {
            let grams = others * percent / 100.0;
            formula.lines.push(Line { key, grams });
            formula.aside.push(format!(
                "`{}`: taken as {percent} % of the other lines, {} g",
                row.excerpt.trim(),
                weighed(grams)
            ));
        }
        self.leave_unknown_aside(&mut formula, unknown, &mut problems);
        for row in passed {
            self.tell_passed(row, &mut formula);
        }
        if problems.is_empty() && formula.grams() <= 0.0 {
            let problem = Diagnostic::new("F010", file, "the formula weighs nothing");
            problems.push(problem.help("add a line such as sucrose,120"));
        }
        problems.sort_by(|a, b| a.place.cmp(&b.place));
        match problems.is_empty() {
            true => Ok(formula),
            false => Err(Problems(problems)),
        }
    }

    /// Tells of a line that names a state the plan goes by, such as `cream (soft whipped)`, that it does.
    fn note(&self, row: &Row, key: IngredientKey, formula: &mut Formula) {
        let family = &self.catalogue.ingredient(key).family;
        let mut places = self.catalogue.sequences.places.iter();
        let noted = places.find_map(|place| {
            let of = place.families.contains(family);
            of.then(|| place.noted_in(&row.excerpt)).flatten()
        });
        let Some(word) = noted else { return };
        let said = format!("noted as {word}, which the plan goes by");
        let of_row = |a: &&mut Assumed| a.typed == row.typed && a.key == key;
        match formula.assumed.iter_mut().find(of_row) {
            Some(assumed) => assumed.said.push(said),
            None => formula.assumed.push(Assumed {
                typed: row.typed.clone(),
                key,
                said: vec![said],
                others: vec![],
            }),
        }
    }

    /// Whether a name is taken only with a slip in it mended.
    fn is_mended(&self, typed: &str) -> bool {
        let outcome = self.names.resolve(self.catalogue, typed);
        matches!(outcome, Outcome::Taken(taken) if taken.mended)
    }

    /// Whether the first row names a dish and, in a unit, as much of it as the lines below come to:
    /// "Mayonnaise 5 l".
    fn heads(&self, row: &Row, below: &[Row], batch: f64) -> bool {
        let dish = by_words(&self.catalogue.classes, &row.typed);
        let dish = dish.is_some_and(|(_, weight)| weight > 0);
        let sum: f64 = below.iter().filter_map(|row| self.mass(row, batch)).sum();
        let whole = self.mass(row, batch);
        let near = whole.is_some_and(|whole| (whole - sum).abs() <= TITLED * sum);
        dish && may_head(row) && near && below.len() >= SUMMED
    }

    /// What a row doses in per cent of the other lines: `salt 1 %` beside lines in grams, where the per cent
    /// is no grade of the thing.
    fn dose<'r>(
        &self,
        row: &'r Row,
        dosed: bool,
        resolved: &mut HashMap<&'r str, Outcome>,
        formula: &mut Formula,
    ) -> Option<(IngredientKey, f64)> {
        let (name, percent) = match (&row.amount, &row.share) {
            (sheet::Amount::Percent(percent), _) if dosed => (row.typed.as_str(), *percent),
            (sheet::Amount::Missing, Some((name, percent))) => (name.as_str(), *percent),
            _ => return None,
        };
        let resolve = || self.names.resolve(self.catalogue, name);
        let found = resolved.entry(name).or_insert_with(resolve).clone();
        let Outcome::Taken(taken) = found else {
            return None;
        };
        let id = &self.catalogue.ingredient(taken.key).id;
        let mut grades = self.catalogue.naming.grades.iter();
        if percent > DOSE || row.share.is_some() && grades.any(|grade| grade.figure(id).is_some()) {
            return None;
        }
        if !taken.said.is_empty() {
            formula.assumed.push(Assumed {
                typed: name.to_string(),
                key: taken.key,
                said: taken.said,
                others: taken.others,
            });
        }
        Some((taken.key, percent))
    }

    /// What is not known is left aside and told, as far as what is left is still the formula; where the
    /// file has other problems, or more of it is unknown, it is one.
    fn leave_unknown_aside(
        &self,
        formula: &mut Formula,
        unknown: Vec<Unknown>,
        problems: &mut Vec<Diagnostic>,
    ) {
        let known = formula.grams();
        let all: f64 = unknown.iter().filter_map(|line| line.grams).sum();
        let mut left = vec![];
        for line in unknown {
            let rest = known + all - line.grams.unwrap_or(0.0);
            let off = line
                .grams
                .map(|grams| (grams - rest).abs() / rest.max(1e-9));
            let names = match (line.title, off) {
                (Some(dish), Some(off)) => off <= if dish { BATCHED } else { TITLED },
                (Some(dish), None) => dish,
                (None, _) => false,
            };
            if names {
                let typed = line.problem.excerpt.unwrap_or(line.typed);
                formula.name = typed.trim().to_string();
                formula
                    .aside
                    .push(format!("`{}` was taken as the title", formula.name));
                continue;
            }
            if line.total && off.is_some_and(|off| off <= SUM) {
                formula
                    .aside
                    .push(format!("`{}` was not read as an ingredient", line.typed));
                continue;
            }
            left.push(line);
        }
        let all: f64 = left.iter().filter_map(|line| line.grams).sum();
        let own = |problem: &Diagnostic| left.iter().any(|l| l.amount_place == problem.place);
        let others = problems.iter().filter(|problem| !own(problem)).count();
        let lines = formula.lines.len();
        let few = 100.0 * all <= UNKNOWN * (known + all) && left.len() <= lines.max(1);
        // A name with a fault of its own has a way out of its own.
        let no_syrup = |typed: &str| self.names.is_no_syrup(self.catalogue, typed);
        let mut each = left.iter();
        let faulty = each.any(|line| line.problem.code != "F003" || no_syrup(&line.typed));
        if others > 0 || !few || faulty {
            problems.extend(left.into_iter().map(|line| line.problem));
            return;
        }
        problems.retain(|problem| !left.iter().any(|l| l.amount_place == problem.place));
        for Unknown {
            problem,
            typed,
            grams,
            ..
        } in left
        {
            let near: Vec<&str> = problem.choices.iter().map(|c| c.name.as_str()).collect();
            let near = match near.is_empty() {
                true => String::new(),
                false => format!("; the nearest names are {}", near.join(", ")),
            };
            let share = grams.map(|grams| 100.0 * grams / (known + all));
            let line = match (grams, share) {
                (Some(grams), Some(share)) if share > TRACE => {
                    format!("{} g {typed} ({share:.0} % of the batch)", weighed(grams))
                }
                (Some(grams), _) => format!("{} g {typed}", weighed(grams)),
                (None, _) => format!("`{}`", problem.excerpt.as_deref().unwrap_or(&typed).trim()),
            };
            let near = if share.is_some_and(|share| share <= TRACE) {
                String::new()
            } else {
                near
            };
            formula.aside.push(format!(
                "{line} is not known and was left out: its effect and its allergens are not counted{near}"
            ));
            formula.left.push(Left { typed, grams });
        }
    }

    /// A name that a sentence goes on after, `simple syrup in the pot`, and one that says again the end of
    /// a name above it, `juice` below `grapefruit juice`.
    fn once_more(
        &self,
        row: &Row,
        (above, plain): (&[Row], &[String]),
        formula: &mut Formula,
    ) -> Option<IngredientKey> {
        let resolve = |name: &str| match self.names.resolve(self.catalogue, name) {
            Outcome::Taken(taken) => Some(taken.key),
            _ => None,
        };
        let told = |formula: &mut Formula, key: IngredientKey, said: String| {
            formula.assumed.push(Assumed {
                typed: row.typed.clone(),
                key,
                said: vec![said],
                others: vec![],
            });
            Some(key)
        };
        let bare = plain.last().map_or("", String::as_str);
        let (within, last) = (format!(" {bare} "), format!(" {bare}"));
        let mut said: Vec<&Row> = vec![];
        for (other, name) in above.iter().zip(plain).filter(|_| !bare.is_empty()) {
            let alike = name.contains(&within) || name.ends_with(&last);
            if alike && said.iter().all(|known| known.typed != other.typed) {
                said.push(other);
            }
        }
        if let [one] = said[..]
            && let Some(key) = resolve(&one.typed)
        {
            return told(formula, key, format!("the {} above", one.typed));
        }
        let words: Vec<&str> = row.typed.split(' ').collect();
        let measured = matches!(row.amount, sheet::Amount::Measure { .. });
        // "simple syrup in the pot with the agar", "sugar and bring to the boil"
        let goes_on = |end: &usize| {
            let next = words.get(end + 1).copied().unwrap_or_default();
            row.prose || self.words.leads_on(words[*end], next)
        };
        let mut ends = (1..words.len()).rev().filter(|_| measured).filter(goes_on);
        ends.find_map(|end| {
            let key = resolve(words[..end].join(" ").trim_end_matches([',', ';', '.']))?;
            let rest = words[end..].join(" ");
            if self.names_another(&rest, formula) {
                formula.left.push(Left {
                    typed: rest.clone(),
                    grams: None,
                });
            }
            told(formula, key, format!("`{rest}` was left aside"))
        })
    }

    /// Whether a name that no ingredient has is that of packaging, labour, energy or a tool.
    fn no_food(&self, typed: &str) -> bool {
        let named = |word: &str| match self.names.resolve(self.catalogue, word) {
            Outcome::Taken(taken) => taken.said.is_empty(),
            _ => false,
        };
        let words = || typed.split(|c: char| !c.is_alphanumeric());
        self.words.no_food(typed) && !words().any(|word| word.len() > 2 && named(word))
    }

    /// A sentence with an amount that was not taken is told in the first line where it speaks of an
    /// ingredient that no line counts.
    fn tell_passed(&self, row: &Row, formula: &mut Formula) {
        if self.names_another(&row.typed, formula) {
            formula.left.push(Left {
                typed: row.excerpt.trim().to_string(),
                grams: None,
            });
        }
    }

    /// Whether a text names an ingredient that no line of a formula counts.
    fn names_another(&self, text: &str, formula: &Formula) -> bool {
        let words: Vec<&str> = text.split_whitespace().collect();
        let bare = |word: &str| {
            word.trim_matches(|c: char| !c.is_alphanumeric())
                .to_string()
        };
        let words: Vec<String> = words.into_iter().map(bare).collect();
        let counted = |key: IngredientKey| formula.lines.iter().any(|line| line.key == key);
        words.iter().filter(|word| word.len() > 2).any(|word| {
            match self.names.resolve(self.catalogue, word) {
                Outcome::Taken(taken) if !taken.mended => {
                    !counted(taken.key) && !taken.others.iter().any(|other| counted(*other))
                }
                _ => false,
            }
        })
    }

    /// The ingredient a count speaks of: nine leaves of gelatin are no powder, whatever the bare name means.
    fn counted(&self, row: &Row, key: IngredientKey, formula: &mut Formula) -> IngredientKey {
        let sheet::Amount::Pieces { piece, .. } = &row.amount else {
            return key;
        };
        let weighs = |key: IngredientKey| {
            let catalogue = self.catalogue;
            Weight { catalogue, key }.piece(piece).is_some()
        };
        if piece.is_empty() || weighs(key) {
            return key;
        }
        // "gelatine, soaked" is counted by the leaf, as no gelatin mass is.
        if let Some((head, _)) = row.typed.split_once(',')
            && let Outcome::Taken(taken) = self.names.resolve(self.catalogue, head)
            && let Some(other) = std::iter::once(taken.key)
                .chain(taken.others)
                .find(|other| weighs(*other))
        {
            return other;
        }
        let assumed = formula
            .assumed
            .iter_mut()
            .rev()
            .find(|a| a.typed == row.typed);
        let Some(assumed) = assumed else { return key };
        let Some(other) = assumed.others.iter().copied().find(|other| weighs(*other)) else {
            return key;
        };
        assumed.others.retain(|o| *o != other);
        assumed.others.push(key);
        let grams = Weight {
            catalogue: self.catalogue,
            key: other,
        };
        let grams = grams.piece(piece).map_or(String::new(), weighed);
        let name = &self.catalogue.ingredient(other).name;
        assumed.said = vec![format!(
            "counted by the {piece}: {name}, {grams} g each; write the grade where it is another"
        )];
        assumed.key = other;
        other
    }

    /// Whether a name says what a little of it is for: `oil, for the tin`.
    fn remarked(&self, typed: &str) -> bool {
        let folded = fold(typed);
        let mut words = folded.split_whitespace();
        words.any(|word| self.catalogue.naming.qualifiers.get(word) == Some(&Qualifier::Tail))
    }

    /// Grams of a row whose ingredient is not known; a volume is taken as water.
    fn mass(&self, row: &Row, batch: f64) -> Option<f64> {
        match &row.amount {
            sheet::Amount::Percent(percent) => Some(percent / 100.0 * batch),
            sheet::Amount::Measure { low, high, unit } => {
                let (sheet::Unit::Gram(each) | sheet::Unit::Millilitre(each)) = unit;
                Some((low + high) / 2.0 * each)
            }
            _ => None,
        }
    }

    /// The batch that per cents are of.
    fn batch_of(&self, read: &Sheet, formula: &mut Formula, problems: &mut Vec<Diagnostic>) -> f64 {
        let percent = |row: &&Row| matches!(row.amount, sheet::Amount::Percent(_));
        let Some(first) = read.rows.iter().find(percent) else {
            return BATCH;
        };
        if let Some(other) = read.rows.iter().find(|row| {
            !percent(row)
                && row.amount != sheet::Amount::ToTaste
                && row.amount != sheet::Amount::Missing
        }) {
            if dosed(&read.rows) {
                return BATCH;
            }
            let message = "some amounts are per cent and some are not";
            let problem = Diagnostic::placed("F019", other.amount_place.clone(), message)
                .excerpt(other.excerpt.clone(), 1);
            problems.push(problem.help(format!(
                "write all lines in grams, or all in per cent as line {} is",
                first.place.row()
            )));
        }
        self.batch.or(read.batch).unwrap_or_else(|| {
            formula.aside.push(format!(
                "the amounts are per cent: a batch of {} g was taken; --batch takes another",
                weighed(BATCH)
            ));
            BATCH
        })
    }

    /// The rows, with each that names several things as one for each of them.
    fn shared(&self, rows: &[Row], formula: &mut Formula) -> Vec<Row> {
        let taken = |name: &str| {
            let found = self.names.resolve(self.catalogue, name);
            matches!(found, Outcome::Taken(_))
        };
        let mut out = vec![];
        for row in rows {
            match blend::shared(row, self.words, taken) {
                Some((parts, said)) => {
                    out.extend(parts);
                    formula.aside.extend(said);
                }
                None => out.push(row.clone()),
            }
        }
        out
    }

    fn ingredient<'r>(
        &self,
        row: &'r Row,
        resolved: &mut HashMap<&'r str, Outcome>,
        formula: &mut Formula,
        problems: &mut Vec<Diagnostic>,
    ) -> Option<IngredientKey> {
        let typed = row.typed.as_str();
        if typed.is_empty() {
            let problem = at_name("F003", row, "the line names no ingredient".into());
            problems.push(problem.help("write an ingredient, or delete the line"));
            return None;
        }
        if let Some(key) = self.picks.get(&fold(typed)) {
            return Some(*key);
        }
        let named = |key: &IngredientKey| self.catalogue.ingredient(*key);
        let choices = |keys: &[IngredientKey]| -> Vec<Choice> {
            keys.iter()
                .map(|key| Choice {
                    id: named(key).id.clone(),
                    name: named(key).name.clone(),
                })
                .collect()
        };
        let resolve = || {
            let found = self.names.resolve(self.catalogue, typed);
            self.likeliest(found, typed, &formula.name)
        };
        match resolved.entry(typed).or_insert_with(resolve).clone() {
            Outcome::Taken(taken) => {
                let key = taken.key;
                if !taken.said.is_empty() {
                    formula.assumed.push(Assumed {
                        typed: typed.to_string(),
                        key,
                        said: taken.said,
                        others: taken.others,
                    });
                }
                Some(key)
            }
            Outcome::Choice { options, reason } => {
                let why = match reason.is_empty() {
                    true => String::new(),
                    false => format!(": {reason}"),
                };
                // One thing that may be meant is near, and no more.
                let (code, message) = match options.len() {
                    1 => ("F003", format!("no ingredient is called `{typed}`{why}")),
                    _ => ("F004", format!("`{typed}` can mean several things{why}")),
                };
                let problem = at_name(code, row, message).choices(choices(&options));
                problems.push(problem.help("write one of these names instead"));
                None
            }
            Outcome::Unknown {
                fault: Some((why, way_out)),
                ..
            } => {
                problems.push(at_name("F003", row, why).help(way_out));
                None
            }
            Outcome::Unknown { near, .. } => {
                let message = format!("no ingredient is called `{typed}`");
                let problem = at_name("F003", row, message).choices(choices(&near));
                problems.push(problem.help(match near.is_empty() {
                    true => format!("`tamis find \"{typed}\"` searches the ingredients"),
                    false => "these are the nearest names".to_string(),
                }));
                None
            }
        }
    }

    /// The likeliest of several things, where they are grades of one and differ by a figure, or where what
    /// dish it is decides: the choice is told, with what another would change.
    fn likeliest(&self, found: Outcome, typed: &str, dish: &str) -> Outcome {
        let Outcome::Choice { options, reason } = &found else {
            return found;
        };
        let naming = &self.catalogue.naming;
        let id = |key: &IngredientKey| self.catalogue.ingredient(*key).id.as_str();
        let grades = naming.grades.iter();
        let mut graded = grades.filter(|grade| !grade.apart);
        let grade = graded.any(|grade| options.iter().all(|key| grade.figure(id(key)).is_some()));
        let meant = |meant: &&Meant| {
            let ids = meant.ids.iter().take(options.len());
            meant.unfrozen && ids.eq(options.iter().map(id))
        };
        let classes = &self.catalogue.classes;
        let unfrozen = || {
            let (class, weight) = by_words(classes, dish).filter(|(_, weight)| *weight > 0)?;
            classes.get(class).filter(|_| weight > 0)
        };
        let settled = || naming.meant.values().any(|m| meant(&m));
        let by_dish = unfrozen().is_some_and(|class| class.kind != "frozen") && settled();
        // `what 30 % counts is not known` asks of one thing.
        match options.as_slice() {
            [first, others @ ..] if !others.is_empty() && (grade || by_dish) => {
                let name = &self.catalogue.ingredient(*first).name;
                Outcome::Taken(Taken {
                    key: *first,
                    said: vec![format!(
                        "`{typed}` says no more, so {name} was taken; {reason}"
                    )],
                    others: others.to_vec(),
                    mended: false,
                })
            }
            _ => found,
        }
    }

    fn grams(
        &self,
        row: &Row,
        key: IngredientKey,
        batch: f64,
        formula: &mut Formula,
        problems: &mut Vec<Diagnostic>,
    ) -> Option<f64> {
        let name = &self.catalogue.ingredient(key).name;
        let weights = Weight {
            catalogue: self.catalogue,
            key,
        };
        let (low, high, each) = match &row.amount {
            sheet::Amount::Percent(percent) => return Some(percent / 100.0 * batch),
            sheet::Amount::Missing => {
                let problem = at_amount("F005", row, format!("how much {name} goes in is missing"));
                problems.push(problem.help("write an amount such as 120 g, or delete the line"));
                return None;
            }
            sheet::Amount::ToTaste => {
                let said = format!("{}: to taste, so none was counted", row.typed);
                formula.aside.push(said);
                return None;
            }
            sheet::Amount::Measure { low, high, unit } => match unit {
                sheet::Unit::Gram(factor) => (*low, *high, Some((*factor, String::new()))),
                sheet::Unit::Millilitre(factor) => {
                    let density = weights.density();
                    let grams = density.map(|(density, said)| (factor * density, said));
                    (*low, *high, grams)
                }
            },
            sheet::Amount::Pieces { low, high, piece } => {
                let grams = weights.piece(piece).map(|grams| {
                    let said = format!("{name} weighed as {} g each", weighed(grams));
                    (grams, said)
                });
                // "1 stick butter, browned" weighs what a stick of butter does.
                let grams = grams.or_else(|| {
                    let (head, _) = row.typed.split_once(',')?;
                    let plain = self.names.resolve(self.catalogue, head).key()?;
                    let catalogue = self.catalogue;
                    let grams = Weight {
                        catalogue,
                        key: plain,
                    }
                    .piece(piece)?;
                    let plain = &catalogue.ingredient(plain).name;
                    let said = format!("{name} weighed as {} g each, as {plain}", weighed(grams));
                    Some((grams, said))
                });
                // Nobody counts sugar: `sugar 330` beside lines in grams is grams, and so is `50 butter`.
                let form = self.catalogue.ingredient(key).form.as_str();
                // "1 lime, juiced" is no gram of juice.
                let leads = row.excerpt.trim().starts_with(|c: char| c.is_numeric());
                let few = leads && *low < FEW;
                let many = *low >= FEW;
                let loose = UNCOUNTED.contains(&form) || many || !leads;
                let loose = piece.is_empty() && loose && !few;
                let bare = || (1.0, format!("`{}`: taken as grams", row.excerpt.trim()));
                (*low, *high, grams.or_else(|| loose.then(bare)))
            }
        };
        let Some((each, said)) = each else {
            let pieces = matches!(row.amount, sheet::Amount::Pieces { .. });
            let minor = self.catalogue.ingredient(key).functions.first();
            if pieces && minor.is_some_and(|f| MINOR.contains(&f.as_str())) {
                let said = format!(
                    "{}: what a piece weighs is not known, so none was counted",
                    row.typed
                );
                formula.aside.push(said);
                return None;
            }
            let (code, message) = match pieces {
                true => (
                    "F018",
                    format!("what one piece of {name} weighs is not known"),
                ),
                false => ("F009", format!("the density of {name} is not known")),
            };
            problems.push(at_amount(code, row, message).help("weigh it and write grams"));
            return None;
        };
        if !said.is_empty() {
            formula.aside.push(said);
        }
        if high > low {
            formula
                .aside
                .push(format!("{}: the middle of the range was taken", row.typed));
        }
        Some((low + high) / 2.0 * each)
    }
}

/// Whether the per cents of a file are doses of its lines in grams: each is small, and they are fewer.
fn dosed(rows: &[Row]) -> bool {
    let percents = || {
        rows.iter().filter_map(|row| match row.amount {
            sheet::Amount::Percent(percent) => Some(percent),
            _ => None,
        })
    };
    let measured = |row: &&Row| matches!(row.amount, sheet::Amount::Measure { .. });
    let all = percents().count();
    let small = percents().all(|percent| percent <= DOSE);
    all > 0 && small && rows.iter().filter(measured).count() > all
}

/// Whether a row may head the others: a name first, and what it comes to, if it is told, in a unit.
fn may_head(row: &Row) -> bool {
    let line = row.excerpt.trim();
    !line.starts_with(char::is_numeric) && line.ends_with(char::is_alphabetic)
}

/// The parts of a formula that are named as things other parts take.
fn made_here(parts_of_rows: impl Iterator<Item = String>) -> Vec<String> {
    let mut parts: Vec<(String, usize)> = vec![];
    for name in parts_of_rows {
        match parts.iter_mut().find(|(part, _)| *part == name) {
            Some((_, lines)) => *lines += 1,
            None => parts.push((name, 1)),
        }
    }
    // What is mixed takes two lines.
    let made = parts
        .into_iter()
        .filter(|(name, lines)| !name.is_empty() && *lines > 1);
    made.map(|(name, _)| name).collect()
}

/// A name or heading as it is compared with another: without its number or letter, and what stands in
/// brackets.
fn plain_name(text: &str) -> String {
    let text = text.split('(').next().unwrap_or_default();
    let folded = fold(text);
    let words = folded.split(|c: char| !c.is_alphanumeric());
    let mut words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    if words.first().is_some_and(|word| word.chars().count() == 1) {
        words.remove(0);
    }
    words.join(" ")
}

/// What a sentence says again of a thing that has a line of its own, as `50 g of the sugar`, is no more
/// of it; what it alone speaks of is counted, and that is told.
fn leave_repeated_aside(formula: &mut Formula, passing: &[(usize, &Row)]) {
    let told = |n: usize| passing.iter().any(|(at, _)| *at == n);
    let lines = formula.lines.iter().enumerate();
    let own: Vec<IngredientKey> = lines
        .filter(|(n, _)| !told(*n))
        .map(|(_, line)| line.key)
        .collect();
    for (at, row) in passing.iter().rev() {
        let Line { key, grams } = formula.lines[*at];
        let said = match own.contains(&key) {
            true => {
                formula.lines.remove(*at);
                "has a line of its own and was not counted again"
            }
            false => "stands in a sentence and was counted",
        };
        let grams = weighed(grams);
        formula
            .aside
            .push(format!("{grams} g `{}` {said}", row.typed));
    }
}

fn at_name(code: &'static str, row: &Row, message: String) -> Diagnostic {
    let width = row.typed.chars().count().max(1);
    Diagnostic::placed(code, row.place.clone(), message).excerpt(row.excerpt.clone(), width)
}

fn at_amount(code: &'static str, row: &Row, message: String) -> Diagnostic {
    Diagnostic::placed(code, row.amount_place.clone(), message).excerpt(row.excerpt.clone(), 1)
}

impl Formula {
    /// Weight of the batch, g.
    pub fn grams(&self) -> f64 {
        self.lines.iter().map(|line| line.grams).sum()
    }

    /// What no figure counts though it goes in, for the first line of an answer; empty where there is none.
    pub fn uncounted(&self) -> String {
        let grams = |left: &Left| left.grams;
        let all = self.grams() + self.left.iter().filter_map(grams).sum::<f64>();
        let told = self.left.iter().filter_map(|left| match left.grams {
            Some(grams) if 100.0 * grams <= TRACE * all => None,
            Some(grams) => Some(format!(
                "{} ({:.0} % of the batch)",
                left.told(),
                100.0 * grams / all
            )),
            None => Some(format!("`{}`", left.typed)),
        });
        let told: Vec<String> = told.collect();
        match told.is_empty() {
            true => String::new(),
            false => format!("Not known and in no figure: {}.", told.join(", ")),
        }
    }

    /// What goes in and is not known, however little of it, where allergens, diets and the law are asked about;
    /// empty where there is none.
    pub fn unjudged(&self) -> String {
        let each: Vec<String> = self.left.iter().map(Left::told).collect();
        match each.join(", ") {
            none if none.is_empty() => none,
            left => format!("{left}: not known here and not judged; read its label."),
        }
    }

    /// Grams of one ingredient over all its lines.
    pub fn grams_of(&self, key: IngredientKey) -> f64 {
        self.lines
            .iter()
            .filter(|line| line.key == key)
            .map(|line| line.grams)
            .sum()
    }

    /// Adds grams of an ingredient to its line, or a new line; a line that falls to nothing goes.
    pub fn add(&mut self, key: IngredientKey, grams: f64) {
        match self.lines.iter_mut().find(|line| line.key == key) {
            Some(line) => line.grams += grams,
            None => self.lines.push(Line { key, grams }),
        }
        self.lines.retain(|line| line.grams > 1e-9);
    }

    /// The same with every whole replaced by the parts it is put together from.
    pub fn taken_apart(&self, catalogue: &Catalogue) -> Formula {
        let mut out = self.clone();
        while let Some(n) = out
            .lines
            .iter()
            .position(|l| !catalogue.ingredient(l.key).parts.is_empty())
        {
            let whole = out.lines.remove(n);
            for (id, share) in &catalogue.ingredient(whole.key).parts {
                if let Some(key) = catalogue.key(id) {
                    out.add(key, share * whole.grams);
                }
            }
        }
        out
    }

    /// The same with one line per ingredient.
    pub fn merged(&self) -> Formula {
        let mut out = Formula {
            lines: vec![],
            ..self.clone()
        };
        for line in &self.lines {
            match out.lines.iter_mut().find(|l| l.key == line.key) {
                Some(l) => l.grams += line.grams,
                None => out.lines.push(line.clone()),
            }
        }
        out
    }

    /// Every line times `factor`.
    pub fn scaled(&self, factor: f64) -> Formula {
        Formula {
            lines: self
                .lines
                .iter()
                .map(|l| Line {
                    key: l.key,
                    grams: l.grams * factor,
                })
                .collect(),
            left: self
                .left
                .iter()
                .map(|l| Left {
                    typed: l.typed.clone(),
                    grams: l.grams.map(|grams| grams * factor),
                })
                .collect(),
            ..self.clone()
        }
    }

    /// As CSV that [`Reader::read`] reads back.
    pub fn to_csv(&self, catalogue: &Catalogue) -> String {
        let mut out = String::from("ingredient,grams\n");
        for line in &self.lines {
            out.push_str(&format!(
                "{},{}\n",
                catalogue.ingredient(line.key).id,
                weighed(line.grams)
            ));
        }
        let left = self.left.iter();
        for (typed, grams) in left.filter_map(|left| Some((&left.typed, left.grams?))) {
            let typed = typed.replace('"', "\"\"");
            out.push_str(&format!("\"{typed}\",{}\n", weighed(grams)));
        }
        out
    }
}

/// Grams as a kitchen scale shows them: 0.01 g below 10 g, 0.1 g below 100 g, else whole grams.
pub fn weighed(grams: f64) -> String {
    let text = match grams {
        g if g.abs() < 10.0 => format!("{g:.2}"),
        g if g.abs() < 100.0 => format!("{g:.1}"),
        g => format!("{g:.0}"),
    };
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

fn stem(file: &str) -> String {
    let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
    match name {
        "-" => "formula from standard input".into(),
        _ => {
            let bare = name.rsplit_once('.').map_or(name, |(bare, _)| bare);
            bare.replace(['-', '_'], " ")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::weighed;

    #[test]
    fn grams_are_written_as_a_scale_shows_them() {
        for (grams, text) in [
            (1.234, "1.23"),
            (12.34, "12.3"),
            (123.4, "123"),
            (0.5, "0.5"),
            (20.0, "20"),
            (250.0, "250"),
        ] {
            assert_eq!(weighed(grams), text);
        }
    }
}
