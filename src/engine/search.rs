//! Searching ingredients by words, by what they do and by figures.

use super::{Engine, fits, summary};
use crate::answer::{AssumedOut, FoundHit, Hits};
use crate::condition::{self, Facts, Truth, judge};
use crate::diagnostic::{Diagnostic, Problems};
use crate::formula::Formula;
use crate::index;
use crate::model::{self, Dial, Expr, Group, Ingredient, IngredientKey, Named, Test, fold};
use crate::names::{self, Outcome};
use crate::query::{self, Order, Question, Read};

/// Grams of an ingredient and of water in the solution that ranks freezing powers.
const SOLUTION: (f64, f64) = (10.0, 90.0);

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

/// A search as any face asks for it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SearchRequest {
    /// Names, numbers, jobs or a condition, as typed; empty for everything.
    pub text: String,
    /// What must hold, in the condition language.
    pub condition: Option<String>,
    /// Only what does this job, such as `thickener`.
    pub function: Option<String>,
    /// Only this family, such as `starch`.
    pub family: Option<String>,
    /// How many ingredients are returned; all are counted.
    pub limit: usize,
}

/// A search as it is understood.
struct Search {
    /// Words that names must match.
    text: String,
    /// What must hold.
    condition: Expr,
    /// The figure that ranks, where one was named.
    order: Option<Order>,
}

impl Engine {
    /// Ingredients that match, the obvious one first; in the order of a figure where one is asked about.
    ///
    /// Errors: `Q001` for a text that is too long, those of a condition, `Q002` for a word that
    /// negates or bounds and is no condition.
    pub fn search(&self, request: &SearchRequest) -> Result<Hits, Problems> {
        fits(&request.text)?;
        let Search {
            text,
            condition,
            order,
        } = self.understood(request)?;
        let mut hits = self.matching(&text, &condition, order.as_ref(), request.limit);
        hits.assumed.extend(self.assumed_among(&text, &hits));
        Ok(hits)
    }

    /// What words that name an ingredient were taken for, where that is found first.
    fn assumed_among(&self, text: &str, hits: &Hits) -> Option<AssumedOut> {
        let Outcome::Taken(taken) = self.resolve(text) else {
            return None;
        };
        let assumed = self.assumed_of(text, &taken)?;
        let found = hits.hits.first()?.id == assumed.id;
        found.then_some(assumed)
    }

    /// Words and conditions of a request as one search. Words that read as a condition are one:
    /// `fat > 40 % and vegan`.
    fn understood(&self, request: &SearchRequest) -> Result<Search, Problems> {
        let mut conditions = self.stated(request)?;
        let text = request.text.clone();
        let named = self.catalogue.named(&text) != Named::Unknown;
        let (mut words, mut order) = (String::new(), None);
        if text.trim().is_empty() || named {
            words = text;
        } else if let Ok(read) = self.condition(&text) {
            conditions.insert(0, read);
        } else if let Some((rest, read, by)) = self.searched(&text) {
            conditions.insert(0, read);
            (words, order) = (rest, by);
        } else if looks_like_condition(&text) && conditions.is_empty() {
            conditions.push(self.condition(&text)?);
        } else if let Some(word) = self.unheeded(&text) {
            let message = format!("`{word}` in `{text}` was not understood as a condition");
            return Err(Diagnostic::new("Q002", "find", message)
                .help("say it as a condition, such as tamis find \"gums and not this is guar-gum\", or ask it in words: tamis ask")
                .into());
        } else {
            words = text;
        }
        let condition = match conditions.len() {
            0 => Expr::Always,
            1 => conditions.remove(0),
            _ => Expr::All(conditions),
        };
        Ok(Search {
            text: words,
            condition,
            order,
        })
    }

    /// The conditions a request states beside its words: a job, a family, and what must hold.
    fn stated(&self, request: &SearchRequest) -> Result<Vec<Expr>, Problems> {
        let kind = |sort: &str, name: &Option<String>| {
            let name = name.as_ref()?.trim().to_lowercase().replace(' ', "_");
            Some(format!("{sort} {name}"))
        };
        let stated = [
            kind("function", &request.function),
            kind("family", &request.family),
            request.condition.clone(),
        ];
        let each = stated.into_iter().flatten();
        each.map(|text| Ok(self.condition(&text)?)).collect()
    }

    /// What matches words and a condition, ranked by the figure `order` names; without one, by a figure
    /// that is compared with a number, else as the words match. What `order` needs and nobody knows is
    /// told apart.
    pub(super) fn matching(
        &self,
        text: &str,
        condition: &Expr,
        order: Option<&Order>,
        limit: usize,
    ) -> Hits {
        let mut hits = match order {
            Some(order) => self.measured(text, condition, order, limit),
            None => self.in_order(text, condition, limit),
        };
        hits.summary = summary::of_hits(&hits);
        hits
    }

    /// Ingredients that match words and a condition, the obvious one first.
    fn find(&self, text: &str, condition: &Expr, limit: usize) -> Hits {
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
    fn searched(&self, text: &str) -> Option<(String, Expr, Option<Order>)> {
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
    fn unheeded(&self, text: &str) -> Option<String> {
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
/// Whether words were meant as a condition, so that what is wrong with it is told.
fn looks_like_condition(text: &str) -> bool {
    text.contains(['<', '>', '='])
        || text.contains(" free of ")
        || text.starts_with("free of ")
        || text.contains(" between ")
}
