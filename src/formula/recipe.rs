//! A formula: ingredients in grams, read from CSV with every problem named at once.

use super::amount;
use crate::diagnostic::{Diagnostic, Problems, nearest};
use crate::load::Table;
use crate::model::{Catalogue, IngredientKey};
use crate::names::{Names, Outcome};

/// Grams of one ingredient.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Which ingredient.
    pub key: IngredientKey,
    /// How much, g.
    pub grams: f64,
}

/// Ingredients in grams.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Formula {
    /// Its name, from the file.
    pub name: String,
    /// The dish a question says it is; empty where its name and figures tell.
    pub dish: String,
    /// Its lines, in the order written; one ingredient may stand once only after [`Formula::merged`].
    pub lines: Vec<Line>,
}

/// A formula file larger than this is not one, bytes.
pub const LARGEST: usize = 4_000_000;

impl Formula {
    /// Reads `ingredient,grams` CSV (`unit` and `note` allowed).
    ///
    /// Errors: every problem at `file:line:column`: unknown or ambiguous ingredient (`F003`, `F004`),
    /// missing, negative or unreadable grams (`F005`..`F007`), unknown unit (`F008`), volume without
    /// density (`F009`), not UTF-8 (`F001`), too large (`F002`), nothing in it (`F010`), a decimal
    /// comma that cuts the grams in two (`F011`).
    pub fn read(file: &str, bytes: &[u8], catalogue: &Catalogue, names: &Names) -> Result<Self, Problems> {
        if bytes.len() > LARGEST {
            let message = format!(
                "the file has more than {} MB; a formula has a line per ingredient",
                LARGEST / 1_000_000
            );
            return Err(Diagnostic::new("F002", file, message)
                .help("name a CSV file with the columns ingredient,grams")
                .into());
        }
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => {
                let line = bytes[..error.valid_up_to()]
                    .iter()
                    .filter(|b| **b == b'\n')
                    .count()
                    + 1;
                return Err(Diagnostic::new("F001", file, "the text is not UTF-8")
                    .at(line, 0)
                    .help("save the file as UTF-8")
                    .into());
            }
        };
        let mut problems = vec![];
        let table = Table::read(file, text, &["ingredient", "grams"], &mut problems);
        let mut formula = Formula {
            name: stem(file),
            ..Formula::default()
        };
        if problems.iter().any(|p| matches!(p.code, "D002" | "D004")) {
            return Err(Problems(problems));
        }
        for record in &table.records {
            let key = line_ingredient(&table, record, (catalogue, names), &mut problems);
            let amount = line_amount(&table, record, &mut problems);
            let grams = amount.and_then(|amount| {
                line_grams(&table, record, amount, key, catalogue, &mut problems)
            });
            if let (Some(key), Some(grams)) = (key, grams) {
                formula.lines.push(Line { key, grams });
            }
        }
        if problems.is_empty() && formula.grams() <= 0.0 {
            problems.push(
                Diagnostic::new("F010", file, "the formula weighs nothing")
                    .help("add a line such as sucrose,120"),
            );
        }
        if problems.is_empty() {
            Ok(formula)
        } else {
            Err(Problems(problems))
        }
    }

    /// Weight of the batch, g.
    pub fn grams(&self) -> f64 {
        self.lines.iter().map(|line| line.grams).sum()
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
            name: self.name.clone(),
            dish: self.dish.clone(),
            lines: vec![],
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
            name: self.name.clone(),
            dish: self.dish.clone(),
            lines: self
                .lines
                .iter()
                .map(|l| Line {
                    key: l.key,
                    grams: l.grams * factor,
                })
                .collect(),
        }
    }

    /// As CSV that [`Formula::read`] reads back.
    pub fn to_csv(&self, catalogue: &Catalogue) -> String {
        let mut out = String::from("ingredient,grams\n");
        for line in &self.lines {
            out.push_str(&format!(
                "{},{}\n",
                catalogue.ingredient(line.key).id,
                weighed(line.grams)
            ));
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
        _ => name.trim_end_matches(".csv").replace(['-', '_'], " "),
    }
}

fn line_ingredient(
    t: &Table<'_>,
    r: &crate::load::Record,
    names: (&Catalogue, &Names),
    problems: &mut Vec<Diagnostic>,
) -> Option<IngredientKey> {
    let (catalogue, names) = names;
    let typed = t.get(r, "ingredient");
    match names.resolve(catalogue, typed) {
        Outcome::Taken(taken) => Some(taken.key),
        other => {
            println!("{other:?}");
            None
        }
    }
}

/// Whether a cell has digits only, as either side of a decimal comma has.
fn digits(cell: &str) -> bool {
    !cell.is_empty() && cell.chars().all(|c| c.is_ascii_digit())
}

fn line_amount(
    t: &Table<'_>,
    r: &crate::load::Record,
    problems: &mut Vec<Diagnostic>,
) -> Option<f64> {
    let cell = t.get(r, "grams");
    if cell.is_empty() {
        problems.push(
            t.cell_problem("F005", r, "grams", "the grams are missing")
                .help("write a number, or delete the line"),
        );
        return None;
    }
    // `12,5` is two cells; the second would pass for a note, and 12 g for the amount.
    let beside = ["note", "unit"].into_iter().find(|c| t.follows(c, "grams"));
    let cut = beside.map_or("", |column| t.get(r, column));
    if digits(cut) && digits(cell) {
        problems.push(
            t.cell_problem(
                "F011",
                r,
                "grams",
                format!("`{cell},{cut}` is two cells, `{cell}` and `{cut}`"),
            )
            .help("write a decimal point, not a comma; begin a note with a letter"),
        );
        return None;
    }
    match cell.parse::<f64>() {
        Ok(amount) if amount.is_finite() && (0.0..=1e9).contains(&amount) => Some(amount),
        Ok(_) => {
            problems.push(
                t.cell_problem("F006", r, "grams", format!("`{cell}` is no amount"))
                    .help("an amount lies between 0 and 1,000,000,000 g"),
            );
            None
        }
        Err(_) => {
            let help = match cell.contains(',') {
                true => "write a decimal point, not a comma",
                false => "write digits only; a unit goes into a column `unit`",
            };
            problems.push(
                t.cell_problem("F007", r, "grams", format!("`{cell}` is not a number"))
                    .help(help),
            );
            None
        }
    }
}

fn line_grams(
    t: &Table<'_>,
    r: &crate::load::Record,
    amount: f64,
    key: Option<IngredientKey>,
    catalogue: &Catalogue,
    problems: &mut Vec<Diagnostic>,
) -> Option<f64> {
    let word = t.get(r, "unit");
    if word.is_empty() {
        return Some(amount);
    }
    let Some(unit) = amount::unit(word) else {
        let near = nearest(&word.to_lowercase(), amount::words())
            .map(|n| format!("the nearest unit is `{n}`"));
        problems.push(
            t.cell_problem("F008", r, "unit", format!("`{word}` is no unit"))
                .help(near.unwrap_or("one of g, kg, oz, lb, ml, l, tsp, tbsp, cup".into())),
        );
        return None;
    };
    let ingredient = catalogue.ingredient(key?);
    let grams = amount::grams(amount, unit, ingredient.number("density"));
    if grams.is_none() {
        problems.push(
            t.cell_problem(
                "F009",
                r,
                "unit",
                format!("the density of {} is not known", ingredient.name),
            )
            .help("weigh it and write grams"),
        );
    }
    grams
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
