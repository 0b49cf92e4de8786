//! A condition judged on facts: yes, no, or unknown.

use crate::model::{
    Catalogue, Comparison, Dial, DishKind, Expr, Group, Ingredient, OTHERS, Presence, Subject,
    Test, Value,
};

/// Three-valued truth; unknown is never taken for yes or no.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Truth {
    /// It holds.
    Yes,
    /// It does not hold.
    No,
    /// The data does not say.
    Unknown,
}

impl Truth {
    fn of(yes: bool) -> Truth {
        if yes { Truth::Yes } else { Truth::No }
    }
}

/// What a condition may ask of a mix.
pub trait Mix {
    /// The figure of a dial; `None` when it cannot be computed.
    fn dial(&self, dial: Dial) -> Option<f64>;
    /// Grams of one ingredient per 100 g of mix.
    fn share(&self, id: &str) -> f64;
    /// The kind of dish it is.
    fn kind(&self) -> DishKind;
    /// The ingredients of the mix.
    fn ingredients(&self) -> Vec<&Ingredient>;
}

/// Whom the tests ask; a missing subject answers unknown.
#[derive(Clone, Copy)]
pub struct Facts<'a> {
    /// Lists and groups.
    pub catalogue: &'a Catalogue,
    /// The ingredient at hand.
    pub this: Option<&'a Ingredient>,
    /// The newcomer.
    pub newcomer: Option<&'a Ingredient>,
    /// The one that goes.
    pub leaver: Option<&'a Ingredient>,
    /// The mix.
    pub mix: Option<&'a dyn Mix>,
}

impl<'a> Facts<'a> {
    /// Facts of one ingredient alone.
    pub fn of(catalogue: &'a Catalogue, this: &'a Ingredient) -> Self {
        Facts {
            catalogue,
            this: Some(this),
            newcomer: None,
            leaver: None,
            mix: None,
        }
    }

    /// Facts of an ingredient that may come in: `in` asks it too.
    pub fn of_newcomer(catalogue: &'a Catalogue, newcomer: &'a Ingredient) -> Self {
        Facts {
            newcomer: Some(newcomer),
            ..Facts::of(catalogue, newcomer)
        }
    }

    /// Facts of a mix alone.
    pub fn of_mix(catalogue: &'a Catalogue, mix: &'a dyn Mix) -> Self {
        Facts {
            catalogue,
            this: None,
            newcomer: None,
            leaver: None,
            mix: Some(mix),
        }
    }

    fn subject(&self, subject: Subject) -> Option<&'a Ingredient> {
        match subject {
            Subject::This => self.this,
            Subject::In => self.newcomer,
            Subject::Out => self.leaver,
        }
    }
}

/// Judges `expr` on `facts`.
pub fn judge(expr: &Expr, facts: &Facts<'_>) -> Truth {
    match expr {
        Expr::Always => Truth::Yes,
        Expr::Not(part) => match judge(part, facts) {
            Truth::Yes => Truth::No,
            Truth::No => Truth::Yes,
            Truth::Unknown => Truth::Unknown,
        },
        Expr::All(parts) => fold(parts, facts, Truth::No, Truth::Yes),
        Expr::Any(parts) => fold(parts, facts, Truth::Yes, Truth::No),
        Expr::Test(test) => judge_test(test, facts),
    }
}

/// `decisive` as soon as one part is it; else unknown if any part is; else `otherwise`.
fn fold(parts: &[Expr], facts: &Facts<'_>, decisive: Truth, otherwise: Truth) -> Truth {
    let mut result = otherwise;
    for part in parts {
        let truth = judge(part, facts);
        if truth == decisive {
            return decisive;
        }
        if truth == Truth::Unknown {
            result = Truth::Unknown;
        }
    }
    result
}

/// Whether an ingredient is, or is one of, a group.
pub fn belongs(ingredient: &Ingredient, group: &Group) -> bool {
    match group {
        Group::Ingredient(id) => ingredient.id == *id,
        Group::Kin(id) => ingredient.groups.contains(id),
        Group::Family(id) => ingredient.family == *id,
        Group::Function(name) => ingredient.does(name),
    }
}

fn judge_test(test: &Test, facts: &Facts<'_>) -> Truth {
    let ask = |subject: Subject, f: &dyn Fn(&Ingredient) -> Truth| {
        facts.subject(subject).map_or(Truth::Unknown, f)
    };
    let ask_mix = |f: &dyn Fn(&dyn Mix) -> Truth| facts.mix.map_or(Truth::Unknown, f);
    match test {
        Test::Is(subject, group) => ask(*subject, &|i| Truth::of(belongs(i, group))),
        Test::Number {
            subject,
            property,
            comparison,
            number,
            at_celsius,
        } => ask(*subject, &|i| {
            known(
                range_at(i, property, *at_celsius).map(|range| safely(*comparison, range, *number)),
            )
        }),
        Test::Between {
            subject,
            property,
            low,
            high,
            at_celsius,
        } => ask(*subject, &|i| {
            known(
                range_at(i, property, *at_celsius)
                    .map(|(least, greatest)| least >= *low && greatest <= *high),
            )
        }),
        Test::Word {
            subject,
            property,
            word,
        } => ask(*subject, &|i| word_is(i, property, word)),
        Test::Known(subject, property) => {
            ask(*subject, &|i| Truth::of(i.value(property).is_some()))
        }
        Test::Contains(subject, allergen) => {
            ask(*subject, &|i| contains(i, allergen, facts.catalogue))
        }
        Test::FreeOf(subject, allergen) => ask(*subject, &|i| match contains(
            i,
            allergen,
            facts.catalogue,
        ) {
            Truth::Yes => Truth::No,
            Truth::No => Truth::Yes,
            Truth::Unknown => Truth::Unknown,
        }),
        Test::MixHas(group) => {
            ask_mix(&|mix| Truth::of(mix.ingredients().iter().any(|i| belongs(i, group))))
        }
        Test::MixHasAllergen(allergen) => ask_mix(&|mix| {
            let each: Vec<Truth> = mix
                .ingredients()
                .iter()
                .map(|i| contains(i, allergen, facts.catalogue))
                .collect();
            if each.contains(&Truth::Yes) {
                Truth::Yes
            } else if each.contains(&Truth::Unknown) {
                Truth::Unknown
            } else {
                Truth::No
            }
        }),
        Test::MixIs(kind) => ask_mix(&|mix| Truth::of(mix.kind() == *kind)),
        Test::Share(group, comparison, number) => ask_mix(&|mix| {
            let share: f64 = mix
                .ingredients()
                .iter()
                .filter(|i| belongs(i, group))
                .map(|i| mix.share(&i.id))
                .sum();
            Truth::of(comparison.holds(share, *number))
        }),
        Test::Mix(dial, comparison, number) => ask_mix(&|mix| {
            known(
                mix.dial(*dial)
                    .map(|figure| comparison.holds(figure, *number)),
            )
        }),
    }
}

fn known(answer: Option<bool>) -> Truth {
    answer.map_or(Truth::Unknown, Truth::of)
}

/// Compared by the safe end: the whole stated range must satisfy the condition.
fn safely(comparison: Comparison, (least, greatest): (f64, f64), number: f64) -> bool {
    match comparison {
        Comparison::Less | Comparison::AtMost => comparison.holds(greatest, number),
        Comparison::Greater | Comparison::AtLeast => comparison.holds(least, number),
        Comparison::Equal => least <= number + 1e-9 && number <= greatest + 1e-9,
    }
}

/// The stated range of a property; at a temperature, read off between the two nearest stated ones.
fn range_at(
    ingredient: &Ingredient,
    property: &str,
    at_celsius: Option<f64>,
) -> Option<(f64, f64)> {
    let Some(celsius) = at_celsius else {
        return ingredient.value(property)?.range();
    };
    let mut points: Vec<(f64, &Value)> = ingredient
        .all(property)
        .filter_map(|v| Some((v.at_celsius()?, v)))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let below = points.iter().rev().find(|(t, _)| *t <= celsius)?;
    let above = points.iter().find(|(t, _)| *t >= celsius)?;
    let ((a0, b0), (a1, b1)) = (below.1.range()?, above.1.range()?);
    let share = if above.0 > below.0 {
        (celsius - below.0) / (above.0 - below.0)
    } else {
        0.0
    };
    Some((a0 + (a1 - a0) * share, b0 + (b1 - b0) * share))
}

fn word_is(ingredient: &Ingredient, property: &str, word: &str) -> Truth {
    match ingredient.text(property) {
        None => Truth::Unknown,
        Some(text) if text == word => Truth::Yes,
        Some("depends" | "may contain") => Truth::Unknown,
        Some(_) => Truth::No,
    }
}

/// Whether an ingredient holds an allergen word: a substance or a list's name for several.
/// `may contain` and `unknown` rows answer unknown; silence beside an incomplete statement too.
pub(crate) fn contains(ingredient: &Ingredient, allergen: &str, catalogue: &Catalogue) -> Truth {
    let substances = catalogue.substances(allergen);
    let meant = |substance: &str| substances.contains(&substance);
    let rows = &ingredient.allergens;
    if rows
        .iter()
        .any(|row| meant(&row.substance) && row.presence == Presence::Contains)
    {
        return Truth::Yes;
    }
    if rows.is_empty()
        || rows.iter().any(|row| {
            (meant(&row.substance) || row.substance == OTHERS)
                && matches!(row.presence, Presence::MayContain | Presence::Unknown)
        })
    {
        return Truth::Unknown;
    }
    Truth::No
}
