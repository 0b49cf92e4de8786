//! What each place permits of a substance, by food.

use super::{NO_ROW, condition, food, level, remark, short};
use crate::answer::PermissionOut;
use crate::engine::Engine;
use crate::model::law::Permission;

/// Rows of a jurisdiction in the first line where no food is named.
const FIRST: usize = 2;
/// Rows told of a jurisdiction where no food is named.
const ROWS: usize = 5;

impl Engine {
    /// What one place says of substances, alike rows told as one.
    pub(super) fn permitted(
        &self,
        substances: &[String],
        class: &str,
        place: &str,
    ) -> Vec<PermissionOut> {
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

    pub(super) fn permission(&self, row: &Permission, names: &[String]) -> PermissionOut {
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
                "{}, {}: {}{}. {}{}",
                self.catalogue.law.called(&row.jurisdiction),
                food(row),
                self.says(row),
                condition(row),
                self.text_of(row),
                remark(row)
            ),
        }
    }

    /// Nothing is on file for a food: no permission, and no proof that there is none.
    pub(super) fn unknown(&self, substances: &[String], class: &str, place: &str) -> PermissionOut {
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

    /// The first line of an answer about substances.
    pub(super) fn permissions_told(
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
}
