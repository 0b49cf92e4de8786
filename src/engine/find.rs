//! Looking up, searching and comparing ingredients.

use std::collections::BTreeMap;

use super::{Engine, summary};
use crate::answer::{AllergenOut, ComparedRow, Comparison, FoundHit, Hits, ProfileOut, ValueOut};
use crate::condition::{self, Facts, Truth, judge};
use crate::formula::{Formula, Origin, Part};
use crate::index;
use crate::load::critical;
use crate::model::{
    self, Dial, Expr, Group, Ingredient, IngredientKey, Presence, SourceKind, Test, Value, fold,
};
use crate::names;
use crate::query::{self, Order, Question, Read};

/// Grams of an ingredient and of water in the solution that ranks freezing powers.
const SOLUTION: (f64, f64) = (10.0, 90.0);

/// Properties that decide in a kitchen, in the order a person reads them; a comparison without
/// named properties shows those of these that any of the ingredients has.
const DECIDING: [&str; 26] = [
    "relative_sweetness",
    "dextrose_equivalent",
    "gel_melting_temperature",
    "setting_temperature",
    "gel_texture",
    "cold_soluble",
    "hydration_temperature",
    "gelatinisation_temperature",
    "activation_temperature",
    "melting_range",
    "use_level",
    "ph_range",
    "freeze_thaw",
    "hlb",
    "emulsifier_class",
    "fat",
    "sugars",
    "protein",
    "water",
    "milk_solids_not_fat",
    "alcohol",
    "glycaemic_index",
    "solubility",
    "dispersal",
    "vegan",
    "energy_eu",
];

/// What is said beside every answer that rests on allergen statements.
pub(super) const AS_STATED: &str = "this is what is stated of the ingredients themselves; contact with others in the making is not covered: read the label, and ask the maker where someone is allergic";

/// The caution a search for allergens, or their absence, carries.
pub(super) fn caution(condition: &Expr) -> String {
    let mut tested = false;
    condition.visit(&mut |test| {
        tested |= match test {
            Test::FreeOf(..) | Test::Contains(..) => true,
            Test::Word { property, .. } => property == "gluten",
            _ => false,
        };
    });
    if tested {
        AS_STATED.to_string()
    } else {
        String::new()
    }
}

impl Engine {
    /// All that is known of an ingredient.
    pub fn show(&self, key: IngredientKey) -> ProfileOut {
        let i = self.catalogue.ingredient(key);
        let mut profile = ProfileOut {
            summary: String::new(),
            id: i.id.clone(),
            name: i.name.clone(),
            family: i.family.clone(),
            form: i.form.clone(),
            origin: i.origin.clone(),
            functions: i.functions.clone(),
            e_number: i.e_number.clone(),
            cas: i.cas.clone(),
            note: i.note.clone(),
            names: i
                .names
                .iter()
                .map(|n| {
                    if n.region.is_empty() {
                        n.name.clone()
                    } else {
                        format!("{} ({})", n.name, n.region)
                    }
                })
                .collect(),
            allergens: self.declared(i),
            parts: i
                .parts
                .iter()
                .map(|(id, share)| (id.clone(), 100.0 * share))
                .collect(),
            values: i
                .values
                .iter()
                .map(|v| self.value(i, v))
                .chain(self.derived(key))
                .collect(),
        };
        profile.summary = summary::of_profile(&profile);
        self.mark_telling(&mut profile);
        profile
    }

    /// Marks the row of each property a developer of this family decides by.
    fn mark_telling(&self, profile: &mut ProfileOut) {
        let critical = critical(&self.files);
        let decisive = critical.get(&profile.family).map_or(&[][..], Vec::as_slice);
        let mut told: Vec<String> = vec![];
        for value in profile.values.iter_mut().filter(|v| !v.overruled) {
            if decisive.contains(&value.property) && !told.contains(&value.property) {
                told.push(value.property.clone());
                value.telling = true;
            }
        }
    }

    /// The statements of an ingredient on every list that names the substance.
    fn declared(&self, i: &Ingredient) -> Vec<AllergenOut> {
        let mut out = vec![];
        for row in &i.allergens {
            let named: Vec<(&str, &str)> = self
                .catalogue
                .allergen_lists
                .iter()
                .filter(|l| {
                    l.substance == row.substance && (row.list.is_empty() || row.list == l.list)
                })
                .map(|l| (l.list.as_str(), l.allergen.as_str()))
                .collect();
            // An exemption on one list takes that list out of the general statement.
            let exempt = |list: &str| {
                row.list.is_empty()
                    && i.allergens.iter().any(|r| {
                        r.presence == Presence::Exempt
                            && r.substance == row.substance
                            && r.list == list
                    })
            };
            let lists = if named.is_empty() {
                vec![(row.list.as_str(), row.substance.as_str())]
            } else {
                named
            };
            for (list, allergen) in lists.into_iter().filter(|(list, _)| !exempt(list)) {
                out.push(AllergenOut {
                    list: list.to_string(),
                    allergen: allergen.to_string(),
                    substance: row.substance.clone(),
                    presence: row.presence.word().to_string(),
                    source: row.source.clone(),
                    locator: row.locator.clone(),
                });
            }
        }
        out
    }

    pub(super) fn value(&self, i: &Ingredient, v: &Value) -> ValueOut {
        ValueOut {
            property: v.property.clone(),
            condition: v.condition.clone(),
            low: v.low,
            typical: v.typical,
            high: v.high,
            text: v.text.clone(),
            unit: v.unit.clone(),
            source: v.source.clone(),
            locator: v.locator.clone(),
            kind: match v.own {
                true => SourceKind::Own,
                false => self.catalogue.kind(&v.source),
            }
            .word()
            .to_string(),
            own: v.own,
            telling: false,
            overruled: i.overruled(v),
            note: v.note.clone(),
        }
    }

    /// Figures no row states, with the rule that gives them.
    fn derived(&self, key: IngredientKey) -> Vec<ValueOut> {
        let profile = self.assessor().profile(key);
        let derived = profile
            .figures()
            .filter_map(|(part, figure)| match figure.origin {
                Origin::Rule(rule) if part != Part::Priced => Some((part, figure, rule)),
                _ => None,
            });
        derived
            .map(|(part, figure, rule)| {
                let ranged = figure.high > figure.low;
                let unit = self
                    .catalogue
                    .property(part.id())
                    .map_or("", |p| p.unit.as_str());
                ValueOut {
                    property: part.id().to_string(),
                    condition: String::new(),
                    low: ranged.then_some(figure.low),
                    typical: Some(figure.typical),
                    high: ranged.then_some(figure.high),
                    text: String::new(),
                    unit: if unit.is_empty() {
                        if part.id().starts_with("energy") {
                            "kcal/100 g".into()
                        } else {
                            "g/100 g".into()
                        }
                    } else {
                        unit.to_string()
                    },
                    source: rule.to_string(),
                    locator: String::new(),
                    kind: "derived".into(),
                    own: false,
                    telling: false,
                    overruled: false,
                    note: String::new(),
                }
            })
            .collect()
    }

    /// Ingredients that match words and a condition, the obvious one first.
    pub fn find(&self, text: &str, condition: &Expr, limit: usize) -> Hits {
        let indexed = self.index.len();
        let ranked: Vec<(IngredientKey, String)> = if text.trim().is_empty() {
            self.by_standing(condition, indexed)
        } else {
            let made = names::syrup_named(&self.catalogue, text)
                .filter(|key| !self.catalogue.listed(*key))
                .map(|key| (key, "worked out for this DE".to_string()));
            let found = self.index.search(text, indexed, &self.catalogue);
            made.into_iter()
                .chain(found.into_iter().map(|h| (h.key, h.why)))
                .collect()
        };
        let asked = asked_properties(condition);
        let mut hits = Hits {
            understood: understood(text, condition),
            caution: caution(condition),
            ..Hits::default()
        };
        for (key, why) in ranked {
            let ingredient = self.catalogue.ingredient(key);
            match judge(condition, &Facts::of(&self.catalogue, ingredient)) {
                Truth::No => continue,
                Truth::Unknown => {
                    if self.could_know(ingredient, &asked) {
                        hits.unknown.push(ingredient.id.clone());
                    }
                    continue;
                }
                Truth::Yes => {}
            }
            count(&mut hits, ingredient);
            if hits.hits.len() < limit {
                hits.hits.push(self.hit(ingredient, why, &asked));
            }
        }
        if hits.total == 0 && !text.trim().is_empty() {
            hits.nearest = self
                .index
                .search(text, 5, &self.catalogue)
                .into_iter()
                .map(|h| self.catalogue.ingredient(h.key).name.clone())
                .collect();
        }
        hits
    }

    /// A search in a cook's words that says more than one kind, `thickeners without starch`, or a diet
    /// before a name, `vegan cream`: the words left to match names, what must hold, and the order.
    pub fn searched(&self, text: &str) -> Option<(String, Expr, Option<Order>)> {
        if let Some((name, condition)) = self.dieted(text) {
            return Some((name, condition, None));
        }
        let Read::One(reading) = query::read(text, &self.catalogue) else {
            return None;
        };
        let Question::Search {
            text,
            condition,
            order,
        } = reading.question
        else {
            return None;
        };
        let plain = matches!(condition, Expr::Test(Test::Is(..)) | Expr::Always) && order.is_none();
        let whole = text.is_empty() && !plain && reading.set_aside.is_empty();
        whole.then_some((text, condition, order))
    }

    /// A diet and a name that means several ingredients: `vegan cream`.
    fn dieted(&self, text: &str) -> Option<(String, Expr)> {
        let folded = fold(text);
        let (diet, name) = (folded.match_indices(' '))
            .map(|(cut, _)| (&folded[..cut], &folded[cut + 1..]))
            .rfind(|(diet, _)| self.catalogue.meanings(diet).any(|w| w.table == "diets"))?;
        self.catalogue.naming.meant.get(name)?;
        let mut diets = self.catalogue.meanings(diet);
        let diet = diets.find(|w| w.table == "diets")?;
        let condition = condition::parse(&diet.meaning, &self.catalogue).ok()?;
        Some((name.to_string(), condition))
    }

    /// The first `indexed` ingredients, the best known first; first of all those whose trade is the
    /// job asked for.
    fn by_standing(&self, condition: &Expr, indexed: usize) -> Vec<(IngredientKey, String)> {
        let mut kinds: Vec<String> = vec![];
        condition.visit(&mut |test| match test {
            Test::Is(_, Group::Function(f)) => kinds.push(format!("function {f}")),
            Test::Is(_, Group::Family(f)) => kinds.push(format!("family {f}")),
            _ => {}
        });
        let rank = |key: &IngredientKey| {
            let ingredient = self.catalogue.ingredient(*key);
            let belongs = |kind: &String| index::belongs(ingredient, kind, &self.catalogue);
            let belongs = kinds.iter().filter_map(belongs).fold(0.0, f32::max);
            belongs + 2.0 * index::standing(ingredient)
        };
        let mut ranked: Vec<(f32, IngredientKey)> = (self.catalogue.keys().take(indexed))
            .map(|key| (rank(&key), key))
            .collect();
        ranked.sort_by(|(a, left), (b, right)| b.total_cmp(a).then(left.cmp(right)));
        ranked
            .into_iter()
            .map(|(_, key)| (key, String::new()))
            .collect()
    }

    /// What matches, ranked by one figure; those whose figure is not known are told apart.
    pub fn ranked(&self, text: &str, condition: &Expr, order: &Order, limit: usize) -> Hits {
        let mut hits = self.measured(text, condition, order, limit);
        hits.summary = summary::of_hits(&hits);
        hits
    }

    fn measured(&self, text: &str, condition: &Expr, order: &Order, limit: usize) -> Hits {
        let all = self.find(text, condition, usize::MAX);
        let way = if order.most { "most" } else { "least" };
        let mut hits = Hits {
            understood: format!("{}; {way} {}", all.understood, order.by),
            unknown: all.unknown,
            caution: all.caution,
            ..Hits::default()
        };
        let mut measured: Vec<(f64, FoundHit)> = vec![];
        for mut hit in all.hits {
            let Some(key) = self.catalogue.key(&hit.id) else {
                continue;
            };
            match self.figure(key, &order.by) {
                Some(figure) => {
                    hit.values.insert(order.by.clone(), figure);
                    measured.push((figure, hit));
                }
                None if self.could_know(
                    self.catalogue.ingredient(key),
                    std::slice::from_ref(&order.by),
                ) =>
                {
                    hits.unknown.push(hit.id);
                }
                None => {}
            }
        }
        measured.sort_by(|(a, left), (b, right)| {
            let way = if order.most {
                b.total_cmp(a)
            } else {
                a.total_cmp(b)
            };
            way.then_with(|| left.id.cmp(&right.id))
        });
        for (_, hit) in measured {
            if let Some(key) = self.catalogue.key(&hit.id) {
                count(&mut hits, self.catalogue.ingredient(key));
            }
            if hits.hits.len() < limit {
                hits.hits.push(hit);
            }
        }
        hits
    }

    /// What matches; where one figure is compared with a number, in the order of that figure.
    pub fn found(&self, text: &str, condition: &Expr, limit: usize) -> Hits {
        let mut hits = self.in_order(text, condition, limit);
        hits.summary = summary::of_hits(&hits);
        hits
    }

    fn in_order(&self, text: &str, condition: &Expr, limit: usize) -> Hits {
        let Some(order) = implied(condition).filter(|_| text.trim().is_empty()) else {
            return self.find(text, condition, limit);
        };
        let mut hits = self.find(text, condition, usize::MAX);
        let figure = |hit: &FoundHit| {
            let key = self.catalogue.key(&hit.id)?;
            self.figure(key, &order.by)
        };
        let way = if order.most { -1.0 } else { 1.0 };
        // What has no single figure stands last.
        let place = |hit: &FoundHit| figure(hit).map_or(f64::INFINITY, |figure| way * figure);
        let mut placed: Vec<(f64, FoundHit)> = hits
            .hits
            .into_iter()
            .map(|hit| (place(&hit), hit))
            .collect();
        placed.sort_by(|(a, _), (b, _)| a.total_cmp(b));
        hits.hits = placed.into_iter().map(|(_, hit)| hit).take(limit).collect();
        hits
    }

    /// The word of a search that negates or bounds and was not read as a condition; to search for the
    /// words alone would find what it leaves out.
    pub fn unheeded(&self, text: &str) -> Option<String> {
        let folded = fold(text);
        let words: Vec<&str> = folded.split(' ').collect();
        let limits = |phrase: &str| {
            self.catalogue
                .meanings(phrase)
                .any(|word| match word.table.as_str() {
                    "diets" | "traits" | "comparisons" => true,
                    "verbs" | "roles" => {
                        ["without", "not", "free", "allergy"].contains(&word.meaning.as_str())
                    }
                    _ => false,
                })
        };
        (1..=words.len().min(4)).rev().find_map(|count| {
            let mut phrases = words.windows(count).map(|phrase| phrase.join(" "));
            phrases.find(|phrase| limits(phrase))
        })
    }

    /// A property of an ingredient, stated or derived; `freezing_point` is that of 10 g in 90 g of
    /// water.
    fn figure(&self, key: IngredientKey, by: &str) -> Option<f64> {
        if by == Dial::FreezingPoint.id() {
            let mut solution = Formula::default();
            solution.add(key, SOLUTION.0);
            solution.add(self.catalogue.key("water")?, SOLUTION.1);
            let celsius = self.assessor().state(&solution).dial(Dial::FreezingPoint)?;
            return Some((celsius * 100.0).round() / 100.0);
        }
        let stated = self.catalogue.ingredient(key).number(by);
        stated.or_else(|| {
            let profile = self.assessor().profile(key);
            let mut figures = profile.figures();
            let found = figures.find(|(part, _)| part.id() == by);
            found.map(|(_, figure)| (figure.typical * 1000.0).round() / 1000.0)
        })
    }

    /// Whether the properties asked about apply: the hydration temperature of a fruit is not unknown.
    fn could_know(&self, ingredient: &Ingredient, asked: &[String]) -> bool {
        asked.iter().all(|property| {
            self.catalogue
                .property(property)
                .is_none_or(|p| p.applies_to(&ingredient.family))
        })
    }

    fn hit(&self, ingredient: &Ingredient, why: String, asked: &[String]) -> FoundHit {
        let figure = |p: &String| Some((p.clone(), ingredient.number(p)?));
        let words = |p: &String| Some((p.clone(), ingredient.text(p)?.to_string()));
        FoundHit {
            id: ingredient.id.clone(),
            name: ingredient.name.clone(),
            family: ingredient.family.clone(),
            why,
            dose: self.dose(ingredient),
            values: asked.iter().filter_map(figure).collect(),
            overruled: self
                .overruled([ingredient])
                .into_iter()
                .filter(|o| asked.contains(&o.own.property))
                .collect(),
            texts: asked.iter().filter_map(words).collect(),
        }
    }

    /// Its usual dose in words: of any food, else of the first stated.
    fn dose(&self, ingredient: &Ingredient) -> String {
        let rows = || ingredient.all("use_level");
        let general = rows().find(|v| v.condition("use") == Some("general"));
        let Some(row) = general.or_else(|| rows().next()) else {
            return String::new();
        };
        let food = row
            .condition("use")
            .map_or(String::new(), |food| format!(" in {food} use"));
        row.range().map_or(String::new(), |(low, high)| {
            format!("usually {low} to {high} %{food}")
        })
    }

    /// Ingredients side by side on `properties`, or on those that decide.
    pub fn compare(&self, keys: &[IngredientKey], properties: &[String]) -> Comparison {
        let profiles: Vec<ProfileOut> = keys.iter().map(|k| self.show(*k)).collect();
        let first = |p: &ProfileOut, id: &str| {
            p.values
                .iter()
                .filter(|v| v.property == id && !v.overruled)
                .min_by_key(|v| !v.condition.is_empty())
                .cloned()
        };
        let wanted: Vec<String> = if properties.is_empty() {
            DECIDING.iter().map(|p| p.to_string()).collect()
        } else {
            properties.to_vec()
        };
        let rows: Vec<ComparedRow> = wanted
            .into_iter()
            .map(|id| {
                let property = self.catalogue.property(&id);
                ComparedRow {
                    name: property.map_or(id.replace('_', " "), |p| p.name.clone()),
                    unit: property.map_or(String::new(), |p| p.unit.clone()),
                    values: profiles.iter().map(|p| first(p, &id)).collect(),
                    property: id,
                }
            })
            .filter(|row| !properties.is_empty() || row.values.iter().any(Option::is_some))
            .collect();
        let mut overruled = self.overruled(keys.iter().map(|k| self.catalogue.ingredient(*k)));
        overruled.retain(|o| rows.iter().any(|row| row.property == o.own.property));
        let mut comparison = Comparison {
            summary: String::new(),
            overruled,
            ingredients: profiles.iter().map(|p| p.id.clone()).collect(),
            names: profiles.iter().map(|p| p.name.clone()).collect(),
            rows,
            together: self.together(keys),
        };
        comparison.summary = summary::of_comparison(&comparison);
        comparison
    }

    /// How many values there are of each kind of source; diet states are statements, not values.
    pub fn source_counts(&self) -> BTreeMap<&'static str, usize> {
        let mut counts = BTreeMap::new();
        let diet = |v: &&Value| {
            self.catalogue
                .property(&v.property)
                .is_some_and(|p| p.group == "diet")
        };
        let values = self.catalogue.ingredients.iter().flat_map(|i| &i.values);
        for value in values.filter(|v| !diet(v)) {
            *counts
                .entry(self.catalogue.kind(&value.source).word())
                .or_default() += 1;
        }
        counts
    }
}

/// The order a condition implies that compares one figure with a number: the furthest from it first.
fn implied(condition: &Expr) -> Option<Order> {
    let mut orders: Vec<Order> = vec![];
    condition.visit(&mut |test| {
        if let Test::Number {
            property,
            comparison,
            ..
        } = test
        {
            orders.push(Order {
                by: property.clone(),
                most: matches!(
                    comparison,
                    model::Comparison::Greater | model::Comparison::AtLeast
                ),
            });
        }
    });
    match orders.len() {
        1 => orders.pop(),
        _ => None,
    }
}

/// Counts a match in the total and the facets.
fn count(hits: &mut Hits, ingredient: &Ingredient) {
    hits.total += 1;
    *hits.families.entry(ingredient.family.clone()).or_default() += 1;
    for function in &ingredient.functions {
        *hits.functions.entry(function.clone()).or_default() += 1;
    }
}

fn understood(text: &str, condition: &Expr) -> String {
    match (text.trim(), condition) {
        ("", expr) => format!("find {}", condition::print(expr)),
        (text, Expr::Always) => format!("find \"{text}\""),
        (text, expr) => format!("find \"{text}\" where {}", condition::print(expr)),
    }
}

/// The properties a condition asks about, each once.
fn asked_properties(condition: &Expr) -> Vec<String> {
    let mut asked: Vec<String> = vec![];
    condition.visit(&mut |test| {
        if let Test::Number { property, .. }
        | Test::Between { property, .. }
        | Test::Word { property, .. } = test
            && !asked.contains(property)
        {
            asked.push(property.clone());
        }
    });
    asked
}
