//! The canonical form read back, strictly: anything it does not know is left to the reader of free words.
//!
//! ```text
//! lookup [(property | contains allergen), ... of] id, ...
//! find [condition | "text" [; condition]] [; most property | ; least property]
//! compare id, ... [by property, ...]
//! swap [n g of | n % of] (id, ... [for id, ...] | whatever: condition [; for id, ...]) {; wish} [; in dish]
//! adjust [add n g id, ...] {; wish} [; scale to n g | ; scale to n ml | ; scale by n | ; scale to n g of id] [; in dish]
//! what-if change {; change} [; on dial, ...] [; in dish]
//! role id, ... [in dish]
//! how-to [phase] [id, ...] [in dish]
//! assess [(vegan | vegetarian | allergens | contains allergen | dial), ...]
//! legal [substance | ...] [; in class] [; for jurisdiction, ...]
//! care topic, ... [; allergic to allergen, ...] [; of id, ...]
//! diagnose symptom, ... [with id, ...] [in dish]
//! change := (without | more | less | by n g of | times n of | to n % of) (id, ... | whatever: condition)
//! wish := keep dial | raise dial | lower dial | dial at least n | dial at most n
//!       | dial between n and n | change dial by n %
//!       | newcomers condition | only from id, ... | at most n new
//! ```

use crate::condition;
use crate::model::rule::PHASES;
use crate::model::{Aim, Catalogue, Dial, Expr, Goal, RuleKind, Test, Wish, fold};

use super::goal::share;
use super::question::{About, Amount, Batch, Change, How, Leaver, Order, Question};

/// The question a canonical text says; `None` where it is not canonical.
pub(super) fn parse(text: &str, catalogue: &Catalogue) -> Option<Question> {
    let text = text.trim();
    let (verb, rest) = text.split_once(' ').unwrap_or((text, ""));
    let form = Form { catalogue };
    match verb {
        "lookup" => form.lookup(rest),
        "find" => form.find(rest),
        "compare" => form.compare(rest),
        "swap" => form.swap(rest),
        "adjust" => form.adjust(rest),
        "what-if" => form.what_if(rest),
        "role" => form.role(rest),
        "how-to" => form.how_to(rest),
        "assess" => form.assess(rest),
        "diagnose" => form.diagnose(rest),
        "legal" => form.legal(rest),
        "care" => form.care(rest),
        _ => None,
    }
}

struct Form<'a> {
    catalogue: &'a Catalogue,
}

impl Form<'_> {
    fn ids(&self, text: &str) -> Option<Vec<String>> {
        text.split(", ")
            .map(|id| self.catalogue.key(id).map(|_| id.to_string()))
            .collect()
    }

    fn properties(&self, text: &str) -> Option<Vec<String>> {
        text.split(", ")
            .map(|id| self.catalogue.property(id).map(|p| p.id.clone()))
            .collect()
    }

    fn condition(&self, text: &str) -> Option<Expr> {
        condition::parse(text, self.catalogue).ok()
    }

    /// An allergen, as a condition names it.
    fn allergen(&self, text: &str) -> Option<String> {
        match self.condition(&format!("contains {text}"))? {
            Expr::Test(Test::Contains(_, allergen)) => Some(allergen),
            _ => None,
        }
    }

    /// A dish of the vocabulary.
    fn dish(&self, text: &str) -> Option<String> {
        let known = |word: &crate::model::Word| word.table == "dishes" && word.meaning == text;
        self.catalogue
            .words
            .iter()
            .any(known)
            .then(|| text.to_string())
    }

    fn lookup(&self, text: &str) -> Option<Question> {
        let (asked, ids) = text.split_once(" of ").unwrap_or(("", text));
        let (mut properties, mut allergens) = (vec![], vec![]);
        for word in asked.split(", ").filter(|word| !word.is_empty()) {
            match word.strip_prefix("contains ") {
                Some(allergen) => allergens.push(self.allergen(allergen)?),
                None => properties.push(self.catalogue.property(word)?.id.clone()),
            }
        }
        Some(Question::Lookup {
            ingredients: self.ids(ids)?,
            properties,
            allergens,
        })
    }

    fn find(&self, text: &str) -> Option<Question> {
        let (text, order) = match text.rsplit_once("; ") {
            Some((before, clause))
                if clause.starts_with("most ") || clause.starts_with("least ") =>
            {
                (before, Some(self.order(clause)?))
            }
            _ => (text, None),
        };
        let Some(quoted) = text.strip_prefix('"') else {
            return Some(Question::Search {
                text: String::new(),
                condition: self.condition(text)?,
                order,
            });
        };
        let (name, rest) = quoted.split_once('"')?;
        let condition = match rest.strip_prefix("; ") {
            Some(condition) => self.condition(condition)?,
            None if rest.is_empty() => Expr::Always,
            None => return None,
        };
        Some(Question::Search {
            text: name.to_string(),
            condition,
            order,
        })
    }

    /// `most relative_sweetness`, `least freezing_point`.
    fn order(&self, clause: &str) -> Option<Order> {
        let (way, by) = clause.split_once(' ')?;
        let known = by == Dial::FreezingPoint.id() || self.catalogue.property(by).is_some();
        known.then(|| Order {
            by: by.to_string(),
            most: way == "most",
        })
    }

    fn compare(&self, text: &str) -> Option<Question> {
        let (ids, properties) = match text.split_once(" by ") {
            Some((ids, properties)) => (self.ids(ids)?, self.properties(properties)?),
            None => (self.ids(text)?, vec![]),
        };
        (ids.len() > 1).then_some(Question::Compare {
            ingredients: ids,
            properties,
        })
    }

    fn swap(&self, text: &str) -> Option<Question> {
        let mut clauses = text.split("; ");
        let (amount, goes) = amount(clauses.next()?);
        let mut newcomers = vec![];
        let leaver = match goes.strip_prefix("whatever: ") {
            Some(condition) => Leaver::Matching(self.condition(condition)?),
            None => {
                let (ids, pair) = goes
                    .split_once(" for ")
                    .map_or((goes, None), |(a, b)| (a, Some(b)));
                if let Some(pair) = pair {
                    newcomers = self.ids(pair)?;
                }
                Leaver::Ingredients(self.ids(ids)?)
            }
        };
        let mut wish = Wish::default();
        let mut dish = String::new();
        for clause in clauses {
            if let Some(name) = clause.strip_prefix("in ") {
                dish = self.dish(name)?;
            } else if let Some(ids) = clause.strip_prefix("for ") {
                newcomers = self.ids(ids)?;
            } else {
                self.wish(clause, &mut wish)?;
            }
        }
        Some(Question::Swap {
            leaver,
            newcomers,
            amount,
            wish,
            dish,
        })
    }

    fn adjust(&self, text: &str) -> Option<Question> {
        let mut added = vec![];
        let mut wish = Wish::default();
        let mut scale = None;
        let mut dish = String::new();
        for clause in text.split("; ").filter(|clause| !clause.is_empty()) {
            if let Some(list) = clause.strip_prefix("add ") {
                for part in list.split(", ") {
                    let (grams, id) = part.split_once(" g ")?;
                    self.catalogue.key(id)?;
                    added.push((id.to_string(), number(grams)?));
                }
            } else if let Some(times) = clause.strip_prefix("scale by ") {
                scale = Some(Batch::Times(number(times)?));
            } else if let Some(batch) = clause.strip_prefix("scale to ") {
                if let Some((grams, id)) = batch.split_once(" g of ") {
                    let id = self.ids(id)?.into_iter().next()?;
                    scale = Some(Batch::Of(id, number(grams)?));
                    continue;
                }
                scale = Some(match batch.strip_suffix(" g") {
                    Some(grams) => Batch::Grams(number(grams)?),
                    None => Batch::Millilitres(number(batch.strip_suffix(" ml")?)?),
                });
            } else if let Some(name) = clause.strip_prefix("in ") {
                dish = self.dish(name)?;
            } else {
                self.wish(clause, &mut wish)?;
            }
        }
        Some(Question::Adjust {
            added,
            wish,
            scale,
            dish,
        })
    }

    fn what_if(&self, text: &str) -> Option<Question> {
        let (mut changes, mut on, mut dish) = (vec![], vec![], String::new());
        for clause in text.split("; ") {
            if let Some(name) = clause.strip_prefix("in ") {
                dish = self.dish(name)?;
            } else if let Some(dials) = clause.strip_prefix("on ") {
                on = dials.split(", ").map(Dial::parse).collect::<Option<_>>()?;
            } else {
                changes.push(self.change(clause)?);
            }
        }
        (!changes.is_empty()).then_some(Question::WhatIf { changes, on, dish })
    }

    fn change(&self, text: &str) -> Option<Change> {
        let (verb, rest) = text.split_once(' ')?;
        let (how, what) = match verb {
            "without" => (How::Out, rest),
            "more" => (How::More, rest),
            "less" => (How::Less, rest),
            "by" => {
                let (grams, what) = rest.split_once(" g of ")?;
                (How::By(number(grams)?), what)
            }
            "times" => {
                let (times, what) = rest.split_once(" of ")?;
                (How::Times(number(times)?), what)
            }
            "to" => match rest.split_once(" % of ") {
                Some((percent, what)) => (How::To(number(percent)?), what),
                None => {
                    let (grams, what) = rest.split_once(" g of ")?;
                    (How::Set(number(grams)?), what)
                }
            },
            _ => return None,
        };
        let what = match what.strip_prefix("whatever: ") {
            Some(condition) => Leaver::Matching(self.condition(condition)?),
            None => Leaver::Ingredients(self.ids(what)?),
        };
        Some(Change { what, how })
    }

    fn role(&self, text: &str) -> Option<Question> {
        let (ids, dish) = self.inside(text)?;
        Some(Question::Role {
            ingredients: self.ids(ids)?,
            dish,
        })
    }

    fn how_to(&self, text: &str) -> Option<Question> {
        let (mut rest, dish) = self.inside(text)?;
        let mut phase = "";
        // The longest phase first: `hydrate cold` before any shorter one.
        let mut phases = PHASES.to_vec();
        phases.sort_by_key(|p| std::cmp::Reverse(p.len()));
        for known in phases {
            if rest == known {
                (phase, rest) = (known, "");
            } else if let Some(ids) = rest.strip_prefix(known).and_then(|r| r.strip_prefix(' ')) {
                (phase, rest) = (known, ids);
            } else {
                continue;
            }
            break;
        }
        let ingredients = if rest.is_empty() {
            vec![]
        } else {
            self.ids(rest)?
        };
        Some(Question::HowTo {
            ingredients,
            phase: phase.to_string(),
            dish,
        })
    }

    fn assess(&self, text: &str) -> Option<Question> {
        let about = |word: &str| match word {
            "allergens" => Some(About::Allergens),
            "label" => Some(About::Label),
            "vegan" | "vegetarian" => Some(About::Diet(word.to_string())),
            _ if word.starts_with("portions of ") => {
                let grams = word.strip_prefix("portions of ")?.strip_suffix(" g")?;
                Some(About::Portions(grams.parse().ok().filter(|g| *g > 0.0)?))
            }
            _ if word.starts_with("claim ") => {
                let claim = word.strip_prefix("claim ")?;
                let known = !self.catalogue.labels.claims_said(&fold(claim)).is_empty();
                known.then(|| About::Claim(claim.to_string()))
            }
            _ => match word.strip_prefix("contains ") {
                Some(allergen) => Some(About::Contains(self.allergen(allergen)?)),
                None => Some(About::Dial(Dial::parse(word)?)),
            },
        };
        let words = text.split(", ").filter(|word| !word.is_empty());
        Some(Question::Assess {
            about: words.map(about).collect::<Option<_>>()?,
        })
    }

    fn diagnose(&self, text: &str) -> Option<Question> {
        let (rest, dish) = self.inside(text)?;
        let (symptoms, ingredients) = match rest.split_once(" with ") {
            Some((symptoms, ids)) => (symptoms, self.ids(ids)?),
            None => (rest, vec![]),
        };
        let symptoms = symptoms
            .split(", ")
            .map(|s| self.symptom(s))
            .collect::<Option<Vec<_>>>()?;
        Some(Question::Diagnose {
            symptoms,
            dish,
            ingredients,
        })
    }

    fn legal(&self, text: &str) -> Option<Question> {
        let law = &self.catalogue.law;
        let mut clauses = text.split("; ").peekable();
        let mut named = vec![];
        if let Some(first) = clauses.next_if(|c| !c.starts_with("in ") && !c.starts_with("for ")) {
            let permitted = |s: &str| {
                let row = self.catalogue.permissions.iter().any(|p| p.substance == s);
                let name = law
                    .names
                    .iter()
                    .any(|n| n.substances.iter().any(|x| x == s));
                row || name || self.catalogue.key(s).is_some()
            };
            for substance in first.split(" | ").filter(|s| !s.is_empty()) {
                named.push(permitted(substance).then(|| substance.to_string())?);
            }
        }
        let (mut class, mut jurisdictions) = (String::new(), vec![]);
        for clause in clauses {
            if let Some(id) = clause.strip_prefix("in ") {
                class = self.catalogue.classes.get(id)?.id.clone();
            } else {
                for code in clause.strip_prefix("for ")?.split(", ") {
                    let known = |w: &crate::model::law::LawWord| {
                        w.meaning == "jurisdiction" && w.detail == code
                    };
                    law.words.iter().any(known).then_some(())?;
                    jurisdictions.push(code.to_string());
                }
            }
        }
        Some(Question::Legal {
            substances: named,
            class,
            jurisdictions,
        })
    }

    fn care(&self, text: &str) -> Option<Question> {
        let words = &self.catalogue.law.words;
        let mut clauses = text.split("; ");
        let mut topics = vec![];
        for topic in clauses.next()?.split(", ") {
            let known = |w: &crate::model::law::LawWord| w.meaning == "topic" && w.detail == topic;
            words.iter().any(known).then_some(())?;
            topics.push(topic.to_string());
        }
        let (mut ingredients, mut allergens) = (vec![], vec![]);
        for clause in clauses {
            if let Some(said) = clause.strip_prefix("allergic to ") {
                allergens = said.split(", ").map(str::to_string).collect();
            } else {
                ingredients = self.ids(clause.strip_prefix("of ")?)?;
            }
        }
        Some(Question::Care {
            topics,
            ingredients,
            allergens,
        })
    }

    fn symptom(&self, text: &str) -> Option<String> {
        let known = self.catalogue.rules.iter().any(
            |rule| matches!(&rule.kind, RuleKind::Diagnosis { symptom, .. } if symptom == text),
        );
        known.then(|| text.to_string())
    }

    /// The text before ` in dish` and the dish.
    fn inside<'t>(&self, text: &'t str) -> Option<(&'t str, String)> {
        if let Some(name) = text.strip_prefix("in ") {
            return Some(("", self.dish(name)?));
        }
        match text.split_once(" in ") {
            Some((before, name)) => Some((before, self.dish(name)?)),
            None => Some((text, String::new())),
        }
    }

    fn wish(&self, clause: &str, wish: &mut Wish) -> Option<()> {
        if let Some(condition) = clause.strip_prefix("newcomers ") {
            wish.newcomer = self.condition(condition)?;
        } else if let Some(ids) = clause.strip_prefix("only from ") {
            wish.shelf = Some(self.ids(ids)?);
        } else if clause == "only from" {
            wish.shelf = Some(vec![]);
        } else if let Some(count) = clause
            .strip_prefix("at most ")
            .and_then(|c| c.strip_suffix(" new"))
        {
            wish.at_most = count.parse().ok()?;
        } else {
            wish.goals.push(goal(clause)?);
        }
        Some(())
    }
}

/// `20 % of ` or `50 g of ` before what goes.
fn amount(text: &str) -> (Option<Amount>, &str) {
    let read = |unit: &str| {
        let (figure, rest) = text.split_once(unit)?;
        Some((figure, rest))
    };
    if let Some((grams, rest)) = read(" g of ")
        && let Some(grams) = number(grams)
    {
        return (Some(Amount::Grams(grams)), rest);
    }
    if let Some((percent, rest)) = read(" % of ")
        && let Some(percent) = number(percent)
    {
        return (Some(Amount::Share(share(percent))), rest);
    }
    (None, text)
}

fn goal(clause: &str) -> Option<Goal> {
    let words: Vec<&str> = clause.split(' ').collect();
    let (dial, aim) = match words[..] {
        ["keep", dial] => (dial, Aim::Keep),
        ["raise", dial] => (dial, Aim::Raise),
        ["lower", dial] => (dial, Aim::Lower),
        [dial, "at", "least", least] => (dial, Aim::AtLeast(number(least)?)),
        [dial, "at", "most", most] => (dial, Aim::AtMost(number(most)?)),
        [dial, "between", low, "and", high] => (dial, Aim::Between(number(low)?, number(high)?)),
        ["change", dial, "by", percent, "%"] => (dial, Aim::Relative(share(number(percent)?))),
        _ => return None,
    };
    let dial = Dial::parse(dial)?;
    Some(Goal { dial, aim })
}

fn number(text: &str) -> Option<f64> {
    text.parse().ok().filter(|n: &f64| n.is_finite())
}
