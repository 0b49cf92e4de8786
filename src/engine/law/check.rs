//! The additives of a formula against what each place permits, with the arithmetic.

use super::{condition, food, level, remark, stop};
use crate::answer::LegalCheckOut;
use crate::engine::Engine;
use crate::formula::{Formula, weighed};
use crate::model::law::Permission;

/// The words of a verdict, the gravest first.
const VERDICTS: [&str; 7] = [
    "not authorised",
    "over",
    "may be over",
    "not compared",
    "not known",
    "within",
    "permitted",
];

impl Engine {
    /// Every additive of a formula against what each place permits, the gravest first.
    pub(super) fn checked(
        &self,
        formula: &Formula,
        class: &str,
        places: &[String],
    ) -> Vec<LegalCheckOut> {
        let merged = formula.merged();
        let grams = merged.grams().max(1e-9);
        let lines: Vec<(String, f64)> = (merged.lines.iter())
            .map(|l| (self.catalogue.ingredient(l.key).id.clone(), l.grams))
            .collect();
        let mut out: Vec<LegalCheckOut> = vec![];
        for place in places {
            let mut told: Vec<String> = vec![];
            for (id, weight) in &lines {
                let rows = self.rows(std::slice::from_ref(id), class, place);
                if let Some(row) = rows.first() {
                    let key = if row.shared() {
                        row.group.clone()
                    } else {
                        id.clone()
                    };
                    if !told.contains(&key) {
                        told.push(key);
                        out.push(self.against(row, &rows, &lines, grams, class));
                    }
                } else if self.additive(id) {
                    out.push(self.not_on_file(id, 1e6 * weight / grams, place, class));
                }
                out.extend(self.carried(id, *weight, grams, class, place));
            }
        }
        let gravity = |c: &LegalCheckOut| VERDICTS.iter().position(|v| *v == c.verdict);
        out.sort_by_key(gravity);
        out
    }

    /// Whether an ingredient is an additive to the law.
    pub(super) fn additive(&self, id: &str) -> bool {
        let key = self.catalogue.key(id);
        key.is_some_and(|k| !self.catalogue.ingredient(k).e_number.is_empty())
    }

    /// One additive, or all that share its limit, against its permissions.
    pub(super) fn against(
        &self,
        row: &Permission,
        rows: &[&Permission],
        lines: &[(String, f64)],
        grams: f64,
        class: &str,
    ) -> LegalCheckOut {
        let place = row.jurisdiction.as_str();
        let counted: Vec<&(String, f64)> = match row.shared() {
            false => lines
                .iter()
                .filter(|(id, _)| *id == row.substance)
                .collect(),
            true => (lines.iter())
                .filter(|(id, _)| {
                    let of = self.rows(std::slice::from_ref(id), class, place);
                    of.first().is_some_and(|p| p.group == row.group)
                })
                .collect(),
        };
        let share = |id: &str| {
            let mut bases = self.catalogue.law.bases.iter();
            bases
                .find(|b| b.substance == id && b.basis == row.basis)
                .map(|b| b.share)
        };
        let plain = ["as eaten", "as served", "of mix", ""].contains(&row.basis.as_str())
            || counted.iter().all(|(id, _)| share(id).is_some());
        let weight: f64 = counted.iter().map(|(_, g)| g).sum();
        let on_basis: f64 = (counted.iter())
            .map(|(id, g)| g * if plain { share(id).unwrap_or(1.0) } else { 1.0 })
            .sum();
        let mg = 1e6 * on_basis / grams;
        let limits: Vec<f64> = rows.iter().filter_map(|p| p.most()).collect();
        let (least, most) = (
            limits.iter().copied().fold(f64::INFINITY, f64::min),
            limits.iter().copied().fold(0.0, f64::max),
        );
        // Rounding of grams must not make a mix at the limit pass it.
        let over = |limit: f64| mg > limit * 1.000_001;
        let relative = [
            "of nonfat milk solids",
            "on fat-free dry matter",
            "as SO2 from all sources",
        ];
        let verdict = match row.status.as_str() {
            "not authorised" => "not authorised",
            "gmp" | "permitted" => "permitted",
            _ if limits.is_empty() || relative.contains(&row.basis.as_str()) => "not compared",
            // Where the share that counts is not known, all of it may count: under is under.
            _ if !plain && over(least) => "not compared",
            _ if over(most) => "over",
            _ if over(least) => "may be over",
            _ => "within",
        };
        let names: Vec<String> = counted.iter().map(|(id, _)| self.named(id)).collect();
        let basis = match plain && (on_basis - weight).abs() > 1e-9 {
            true => format!(" = {} {}", level(mg), row.basis),
            false => String::new(),
        };
        let sum = format!(
            "{} {} g in {} g = {}{basis}",
            names.join(" and "),
            weighed(weight),
            weighed(grams),
            level(1e6 * weight / grams)
        );
        let end = match verdict {
            "over" => {
                let part = on_basis / weight.max(1e-12);
                format!(
                    "over the limit; {} g would keep to it",
                    weighed((most * 1e-6 * grams / part.max(1e-12) * 100.0).floor() / 100.0)
                )
            }
            "may be over" => format!("over {}, the limit of some of these foods", level(least)),
            "not compared" => format!("not compared: the limit counts {}", row.basis),
            "not authorised" => "it may not go in".into(),
            "within" => format!("within it, {:.0} % used", 100.0 * mg / least),
            _ => "no figure to keep to".into(),
        };
        LegalCheckOut {
            substances: names,
            jurisdiction: place.to_string(),
            level_mg_per_kg: (mg, mg),
            limit_mg_per_kg: row.most(),
            verdict: verdict.into(),
            source: row.source.clone(),
            locator: row.locator.clone(),
            in_force_as_of: row.in_force_as_of.clone(),
            said: format!(
                "{}{sum}; {}, {}: {}{}: {end}. {}{}",
                stop(verdict),
                self.catalogue.law.called(place),
                food(row),
                self.says(row),
                condition(row),
                self.text_of(row),
                remark(row)
            ),
        }
    }

    pub(super) fn not_on_file(&self, id: &str, mg: f64, place: &str, class: &str) -> LegalCheckOut {
        let name = self.named(id);
        let called = self.catalogue.law.called(place);
        LegalCheckOut {
            said: format!(
                "{name}, {}; {called}: not known, no row on file for {}.",
                level(mg),
                self.food(class)
            ),
            substances: vec![name],
            jurisdiction: place.to_string(),
            level_mg_per_kg: (mg, mg),
            limit_mg_per_kg: None,
            verdict: "not known".into(),
            source: String::new(),
            locator: String::new(),
            in_force_as_of: String::new(),
        }
    }

    /// What an ingredient carries by nature, such as the coumarin of tonka, against its limit.
    pub(super) fn carried(
        &self,
        id: &str,
        weight: f64,
        grams: f64,
        class: &str,
        place: &str,
    ) -> Vec<LegalCheckOut> {
        let of = self
            .catalogue
            .law
            .constituents
            .iter()
            .filter(|c| c.ingredient == id);
        let mut out = vec![];
        for held in of {
            let rows = self.rows(std::slice::from_ref(&held.substance), class, place);
            let Some(row) = rows.first() else { continue };
            let mg = |percent: f64| 1e4 * percent * weight / grams;
            let (low, high) = (mg(held.percent.0), mg(held.percent.1));
            let verdict = match (row.status.as_str(), row.most()) {
                // The limit is of what is added as such or of named sources, which have rows of their own.
                ("not authorised", _) => continue,
                (_, Some(most)) if low > most => "over",
                (_, Some(most)) if high > most => "may be over",
                (_, Some(_)) => "within",
                _ => continue,
            };
            let end = match row.most() {
                Some(most) if high > most => format!(
                    "{verdict}; {} g would keep to it at the highest content",
                    weighed((most / 1e4 / held.percent.1 * grams * 100.0).floor() / 100.0)
                ),
                _ => verdict.to_string(),
            };
            let name = self.named(id);
            out.push(LegalCheckOut {
                said: format!(
                    "{}{name} {} g in {} g carries {} to {} % {}: {} to {}; {}, {}: {}{}: {end}. {}",
                    stop(verdict),
                    weighed(weight),
                    weighed(grams),
                    held.percent.0,
                    held.percent.1,
                    held.substance,
                    level(low),
                    level(high),
                    self.catalogue.law.called(place),
                    food(row),
                    self.says(row),
                    condition(row),
                    self.text_of(row)
                ),
                substances: vec![name],
                jurisdiction: place.to_string(),
                level_mg_per_kg: (low, high),
                limit_mg_per_kg: row.most(),
                verdict: verdict.into(),
                source: row.source.clone(),
                locator: row.locator.clone(),
                in_force_as_of: row.in_force_as_of.clone(),
            });
        }
        out
    }
}
