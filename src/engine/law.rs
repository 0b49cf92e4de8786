//! What the law permits: of a substance in a food, and of every additive of a formula.

use super::Engine;
use crate::answer::{Asked, FindingOut, LegalCheckOut, LegalOut, PermissionOut, SwapOut};
use crate::formula::{Dish, Formula, MixView, weighed};
use crate::model::law::{FoodCategory, Permission};

/// A text whose state in force is older than this many years is told as old.
const FRESH: i32 = 3;
/// Rows of a jurisdiction in the first line where no food is named.
const FIRST: usize = 2;
/// Rows told of a jurisdiction where no food is named.
const ROWS: usize = 5;
/// Told with every answer of law.
const CLOSING: &str = "The file holds part of each law, not all of it, and laws change: check with the authority or a qualified person before selling.";
/// The end of what is said where a place has no row of a substance at all.
const NO_ROW: &str = "nothing on file names it.";
/// Classes of food that hold for every dish.
const ANY: &str = "*";

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
    /// What the law says of substances, in a class of dish, or of the formula in hand.
    pub(super) fn legal(
        &self,
        asked: &mut Asked,
        substances: &[String],
        class: &str,
        jurisdictions: &[String],
        formula: Option<&Formula>,
    ) {
        asked.kind = "legal".into();
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
    fn jurisdictions(&self) -> Vec<String> {
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

    fn class_of(&self, formula: &Formula) -> String {
        let assessor = self.assessor();
        let apart = formula.taken_apart(&self.catalogue);
        let state = assessor.state(formula);
        Dish::of(assessor, &apart, &state).class
    }

    /// A substance as people call it.
    fn named(&self, substance: &str) -> String {
        let key = self.catalogue.key(substance);
        key.map_or(substance.to_string(), |k| {
            self.catalogue.ingredient(k).name.clone()
        })
    }

    fn food(&self, class: &str) -> String {
        let named = self.catalogue.classes.get(class);
        named.map_or(String::new(), |c| c.name.clone())
    }

    /// The categories of a class in one place, the nearest first: those of the class, then of its parents.
    fn categories(&self, class: &str, place: &str) -> Vec<&FoodCategory> {
        let mut line = vec![ANY.to_string()];
        let mut at = class.to_string();
        while let Some(one) = self.catalogue.classes.get(&at) {
            line.push(at);
            at = one.parent.clone();
        }
        let mut found: Vec<&FoodCategory> = vec![];
        for class in &line {
            let of = self.catalogue.law.categories.iter();
            let of = of.filter(|c| c.jurisdiction == place && c.classes.contains(class));
            found.extend(of);
        }
        found
    }

    /// The permissions of substances in the first category of a class that has any.
    fn rows(&self, substances: &[String], class: &str, place: &str) -> Vec<&Permission> {
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

    /// What one place says of substances, alike rows told as one.
    fn permitted(&self, substances: &[String], class: &str, place: &str) -> Vec<PermissionOut> {
        let rows = self.rows(substances, class, place);
        let mut out: Vec<(&Permission, Vec<String>)> = vec![];
        for row in rows {
            let alike = |p: &Permission| {
                (
                    &p.category,
                    &p.category_name,
                    &p.status,
                    p.limit,
                    &p.condition,
                    &p.locator,
                ) == (
                    &row.category,
                    &row.category_name,
                    &row.status,
                    row.limit,
                    &row.condition,
                    &row.locator,
                )
            };
            let name = self.named(&row.substance);
            match out.iter_mut().find(|(p, _)| alike(p)) {
                Some((_, names)) if names.contains(&name) => {}
                Some((_, names)) => names.push(name),
                None => out.push((row, vec![name])),
            }
        }
        if out.is_empty() {
            return vec![self.unknown(substances, class, place)];
        }
        let more = out.len().saturating_sub(ROWS);
        let told = if class.is_empty() { ROWS } else { out.len() };
        let mut found: Vec<PermissionOut> = (out.iter().take(told))
            .map(|(row, names)| self.permission(row, names))
            .collect();
        if more > 0
            && class.is_empty()
            && let Some(last) = found.last_mut()
        {
            last.said += &format!(" And {more} more rows: name the dish.");
        }
        found
    }

    fn permission(&self, row: &Permission, names: &[String]) -> PermissionOut {
        PermissionOut {
            substances: names.to_vec(),
            jurisdiction: row.jurisdiction.clone(),
            food_category: row.category.clone(),
            food: row.category_name.clone(),
            status: row.status.clone(),
            limit_mg_per_kg: row.most(),
            basis: row.basis.clone(),
            condition: row.condition.clone(),
            source: row.source.clone(),
            locator: row.locator.clone(),
            in_force_as_of: row.in_force_as_of.clone(),
            said: format!(
                "{}, {}: {}{}. {}",
                self.catalogue.law.called(&row.jurisdiction),
                food(row),
                self.says(row),
                condition(row),
                self.text_of(row)
            ),
        }
    }

    /// Nothing is on file for a food: no permission, and no proof that there is none.
    fn unknown(&self, substances: &[String], class: &str, place: &str) -> PermissionOut {
        let mut others: Vec<String> = vec![];
        for row in self.rows(substances, "", place) {
            let food = food(row);
            if !others.contains(&food) {
                others.push(food);
            }
        }
        let called = self.catalogue.law.called(place);
        let held = self
            .catalogue
            .permissions
            .iter()
            .any(|p| p.jurisdiction == place);
        let said = match (held, others.is_empty()) {
            (false, _) => {
                format!("{called}: not known; no permission of this place is on file, so {NO_ROW}")
            }
            (true, true) => format!("{called}: not known; {NO_ROW}"),
            (true, false) => format!(
                "{called}: not known for {}; the rows on file are for {}. What a law does not list for a food may be forbidden there.",
                self.food(class),
                others.into_iter().take(ROWS).collect::<Vec<_>>().join("; ")
            ),
        };
        PermissionOut {
            substances: substances.iter().map(|s| self.named(s)).collect(),
            jurisdiction: place.to_string(),
            food_category: String::new(),
            food: self.food(class),
            status: "not known".into(),
            limit_mg_per_kg: None,
            basis: String::new(),
            condition: String::new(),
            source: String::new(),
            locator: String::new(),
            in_force_as_of: String::new(),
            said,
        }
    }

    /// What a permission says, in a few words.
    fn says(&self, row: &Permission) -> String {
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
    fn text_of(&self, row: &Permission) -> String {
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
    fn texts_of(&self, legal: &LegalOut) -> Option<String> {
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
    fn year(&self) -> i32 {
        let edition = self.files.text("data/edition.toml").unwrap_or_default();
        let date = edition.split('"').nth(1).unwrap_or_default();
        date.split('-')
            .next()
            .and_then(|y| y.parse().ok())
            .unwrap_or(0)
    }

    /// The first line of an answer about substances.
    fn permissions_told(
        &self,
        rows: &[PermissionOut],
        substances: &[String],
        class: &str,
        places: &[String],
    ) -> String {
        let mut names: Vec<String> = vec![];
        for name in substances.iter().map(|s| self.named(s)) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let names = match names.len() {
            0..=3 => names.join(", "),
            more => format!("{}, {} and {} more", names[0], names[1], more - 2),
        };
        let mut said: Vec<String> = vec![];
        let mut unknown: Vec<&str> = vec![];
        for place in places {
            let called = self.catalogue.law.called(place);
            let mut told: Vec<String> = vec![];
            let of: Vec<&PermissionOut> =
                rows.iter().filter(|r| r.jurisdiction == *place).collect();
            for row in of.iter().take(if class.is_empty() { FIRST } else { ROWS }) {
                let food = match class.is_empty() && of.len() > 1 {
                    true => format!(" ({})", short(&row.food)),
                    false => String::new(),
                };
                let one = match (row.status.as_str(), row.limit_mg_per_kg) {
                    ("not known", _) => continue,
                    ("not authorised", _) => format!("not authorised{food}"),
                    ("gmp", _) => format!("permitted, quantum satis{food}"),
                    (_, Some(most)) => format!("at most {}{food}", level(most)),
                    ("permitted", None) => format!("permitted{food}"),
                    _ => format!("a limit of another kind{food}"),
                };
                if !told.contains(&one) {
                    told.push(one);
                }
            }
            match told.is_empty() {
                true => unknown.push(called),
                false => said.push(format!("{called} {}", told.join(", "))),
            }
        }
        if !unknown.is_empty() {
            said.push(format!(
                "not known (not on file) for {}",
                unknown.join(", ")
            ));
        }
        let dish = match self.food(class).as_str() {
            "" => String::new(),
            food => format!(" in {food}"),
        };
        format!("{names}{dish}: {}.", said.join("; "))
    }

    /// Every additive of a formula against what each place permits, the gravest first.
    fn checked(&self, formula: &Formula, class: &str, places: &[String]) -> Vec<LegalCheckOut> {
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
    fn additive(&self, id: &str) -> bool {
        let key = self.catalogue.key(id);
        key.is_some_and(|k| !self.catalogue.ingredient(k).e_number.is_empty())
    }

    /// One additive, or all that share its limit, against its permissions.
    fn against(
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
                "{}{sum}; {}, {}: {}{}: {end}. {}",
                stop(verdict),
                self.catalogue.law.called(place),
                food(row),
                self.says(row),
                condition(row),
                self.text_of(row)
            ),
        }
    }

    fn not_on_file(&self, id: &str, mg: f64, place: &str, class: &str) -> LegalCheckOut {
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
    fn carried(
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

    /// The checks of a formula, a line each; what has no figure to keep to, and what is not on file,
    /// in a line for each place and text.
    fn checks_told(&self, checks: &[LegalCheckOut]) -> Vec<String> {
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
    fn verdict_told(&self, checks: &[LegalCheckOut], class: &str, places: &[String]) -> String {
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

    /// What the law has against a formula, as cautions: a stop where no place on file permits it.
    pub(super) fn law_cautions(&self, formula: &Formula, class: &str) -> Vec<FindingOut> {
        let places = self.jurisdictions();
        let checks = self.checked(formula, class, &places);
        let mut out: Vec<FindingOut> = vec![];
        let against = |c: &LegalCheckOut| ["over", "not authorised"].contains(&c.verdict.as_str());
        for check in checks.iter().filter(|c| against(c)) {
            let id = format!("law-{}", check.substances.join("-").replace(' ', "-"));
            if out.iter().any(|f| f.id == id) {
                continue;
            }
            let alike =
                |c: &&LegalCheckOut| c.substances.iter().any(|s| check.substances.contains(s));
            let same: Vec<&LegalCheckOut> = checks.iter().filter(alike).collect();
            let told: Vec<String> = (same.iter().filter(|c| against(c)))
                .map(|c| {
                    let place = self.catalogue.law.called(&c.jurisdiction);
                    match (c.verdict.as_str(), c.limit_mg_per_kg) {
                        ("over", Some(most)) => {
                            format!("over the limit of {place}, {}", level(most))
                        }
                        _ => format!("not authorised in {place}"),
                    }
                })
                .collect();
            let permitted = same
                .iter()
                .any(|c| ["within", "permitted"].contains(&c.verdict.as_str()));
            out.push(FindingOut {
                id,
                severity: if permitted { "watch" } else { "stop" }.into(),
                topic: "legal limit".into(),
                standing: false,
                text: format!(
                    "{} at {}: {}. Ask \"is this permitted\" of the formula for each law and its year.",
                    check.substances.join(" and "),
                    level(check.level_mg_per_kg.1),
                    told.join("; ")
                ),
                because: "What the law has on file for this kind of food.".into(),
                source: check.source.clone(),
                locator: check.locator.clone(),
            });
        }
        out
    }

    /// Adds to each option what the law has against it that it had not before.
    pub(super) fn warn_of_law(&self, out: &mut SwapOut, before: &Formula) {
        let class = self.class_of(before);
        let had: Vec<String> = (self.law_cautions(before, &class).into_iter())
            .map(|f| f.text)
            .collect();
        for option in &mut out.options {
            let mut after = Formula {
                name: before.name.clone(),
                dish: before.dish.clone(),
                ..Formula::default()
            };
            for amount in &option.formula {
                if let Some(key) = self.catalogue.key(&amount.id) {
                    after.add(key, amount.grams);
                }
            }
            let mut found = self.law_cautions(&after, &class);
            found.retain(|f| !had.contains(&f.text));
            option.cautions.splice(0..0, found);
        }
    }

    /// What the law has against the mix seen, as cautions.
    pub(super) fn law_of(&self, bought: &Formula, view: &MixView<'_>) -> Vec<FindingOut> {
        let class = Dish::of(view.assessor, view.formula, view.state).class;
        self.law_cautions(bought, &class)
    }
}

/// The food of a permission, shortened where it lists what it covers.
fn food(row: &Permission) -> String {
    let name = short(&row.category_name);
    match row.category.as_str() {
        "" => name.to_string(),
        code => format!("{name} ({code})"),
    }
}

fn short(food: &str) -> &str {
    food.split(" (").next().unwrap_or(food)
}

/// The condition of a permission.
fn condition(row: &Permission) -> String {
    match row.condition.as_str() {
        "" => String::new(),
        said => format!(" ({said})"),
    }
}

/// A level in the unit of the law, with its percentage where that is what a cook weighs.
fn level(mg: f64) -> String {
    let digits = |figure: f64| match figure {
        f if f >= 100.0 => format!("{f:.0}"),
        f if f >= 10.0 => format!("{:.1}", f),
        f => format!("{f:.2}"),
    };
    let plain = |figure: f64| {
        let text = digits(figure);
        match text.contains('.') {
            true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
            false => text,
        }
    };
    match mg >= 1000.0 {
        true => format!("{} mg/kg ({} %)", plain(mg), plain(mg / 1e4)),
        false => format!("{} mg/kg", plain(mg)),
    }
}

fn verdict_said(verdict: &str) -> &str {
    match verdict {
        "over" => "is over the limit",
        "may be over" => "may be over the limit",
        "not authorised" => "is not authorised",
        "not compared" => "is not compared",
        _ => "is not on file",
    }
}

fn stop(verdict: &str) -> &'static str {
    match verdict {
        "not authorised" | "over" => "STOP: ",
        _ => "",
    }
}
