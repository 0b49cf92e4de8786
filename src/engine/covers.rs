//! What a cook means by the name of what must go: gums are more than the family of thickeners, and
//! gelatin goes in every form.

use crate::condition::{Facts, Truth, judge};
use crate::formula::within;
use crate::model::{
    Catalogue, Comparison, Expr, Group, Ingredient, IngredientKey, Presence, Subject, Test,
};

/// Allergens whose law exempts what is made of the grain but holds next to nothing of its protein.
const EXEMPTED: &str = "cereals containing gluten";
/// Jobs of a gelling agent that is no gum: gelatin is a protein, rennet an enzyme, jelly crystals a sweet.
const NO_GUM: [&str; 3] = ["protein source", "enzyme", "sweetener"];

/// A condition on what must go, with every named kind as wide as a cook means it.
pub(super) fn meant(catalogue: &Catalogue, expr: &Expr) -> Expr {
    let each = |parts: &[Expr]| parts.iter().map(|p| meant(catalogue, p)).collect();
    match expr {
        Expr::All(parts) => Expr::All(each(parts)),
        Expr::Any(parts) => Expr::Any(each(parts)),
        Expr::Not(part) => Expr::Not(Box::new(meant(catalogue, part))),
        Expr::Test(Test::Is(Subject::This, group)) => covered(catalogue, group),
        other => other.clone(),
    }
}

/// Everything of a named kind.
fn covered(catalogue: &Catalogue, group: &Group) -> Expr {
    let named = is(group.clone());
    match group {
        Group::Family(family) if family == "stabiliser" => {
            let mut gels = vec![is(Group::Family("gelling-agent".into()))];
            gels.extend(
                NO_GUM.map(|job| Expr::Not(Box::new(is(Group::Function(job.to_string()))))),
            );
            Expr::Any(vec![named, Expr::All(gels)])
        }
        Group::Family(family) if family == "alcohol" => {
            let holds = Test::Number {
                subject: Subject::This,
                property: "alcohol".into(),
                comparison: Comparison::Greater,
                number: 0.0,
                at_celsius: None,
            };
            let known = Test::Known(Subject::This, "alcohol".into());
            let holds = Expr::All(vec![Expr::Test(known), Expr::Test(holds)]);
            Expr::Any(vec![named, holds])
        }
        Group::Function(job) if job == "emulsifier" => any(catalogue, named, added_emulsifier),
        Group::Ingredient(id) => match catalogue.key(id) {
            Some(key) => {
                let one = catalogue.ingredient(key);
                any(catalogue, named, |other| same_substance(one, other))
            }
            None => named,
        },
        _ => named,
    }
}

fn is(group: Group) -> Expr {
    Expr::Test(Test::Is(Subject::This, group))
}

/// Each ingredient that `meets`, by name; `otherwise` where none does.
fn any(catalogue: &Catalogue, otherwise: Expr, meets: impl Fn(&Ingredient) -> bool) -> Expr {
    let ingredients = catalogue.keys().map(|key| catalogue.ingredient(key));
    let each: Vec<Expr> = ingredients
        .filter(|i| meets(i))
        .map(|i| is(Group::Ingredient(i.id.clone())))
        .collect();
    match each.as_slice() {
        [] => otherwise,
        _ => Expr::Any(each),
    }
}

/// Whether an ingredient is put in to emulsify, as milk powder and egg are not.
fn added_emulsifier(ingredient: &Ingredient) -> bool {
    let early = ingredient.functions.iter().take(2);
    ingredient.family == "emulsifier"
        || (ingredient.family == "stabiliser" && early.into_iter().any(|f| f == "emulsifier"))
}

/// Whether two ingredients are one substance in two forms: leaf and powder, beef and pork gelatin,
/// or a sweetened mix made with it.
pub(super) fn same_substance(one: &Ingredient, other: &Ingredient) -> bool {
    if one.id == other.id {
        return true;
    }
    let shares = |a: &[String], b: &[String]| a.iter().any(|x| b.contains(x));
    // One number stands for the lecithin, or the starch, of every plant.
    let numbered = shares(&one.cas, &other.cas)
        && (one.family == "gelling-agent" || shares(&one.origin, &other.origin));
    let head = one.name.split([' ', ',']).next().unwrap_or_default();
    let mixed = one.family == "gelling-agent"
        && other.family == one.family
        && head.len() > 3
        && other.name.contains(head);
    numbered || mixed
}

/// What may come in where these go for good: nothing that bears the name of one and another word, as
/// instant skimmed milk powder does.
pub(super) fn but_kin(catalogue: &Catalogue, ids: &[String], newcomer: Expr) -> Expr {
    let plain = |name: &str| {
        let bare = name.split([',', '(']).next().unwrap_or(name);
        bare.trim().to_lowercase()
    };
    let gone: Vec<&Ingredient> = (ids.iter())
        .filter_map(|id| Some(catalogue.ingredient(catalogue.key(id)?)))
        .collect();
    let kin = |other: &&Ingredient| {
        gone.iter().any(|one| {
            let name = plain(&one.name);
            let mut names = other.names.iter().map(|n| &n.name).chain([&other.name]);
            let bears = names.any(|n| within(&plain(n), &name));
            other.id != one.id && other.family == one.family && bears
        })
    };
    let others = catalogue.ingredients.iter().filter(kin);
    let kin: Vec<Expr> = others
        .map(|i| is(Group::Ingredient(i.id.clone())))
        .collect();
    if kin.is_empty() {
        return newcomer;
    }
    let out = Expr::Not(Box::new(Expr::Any(kin)));
    match newcomer {
        Expr::Always => out,
        other => Expr::All(vec![other, out]),
    }
}

/// Jobs of what is put in for its taste or colour: it has no stand-in by figures.
const TASTED: [&str; 3] = ["flavour", "flavour enhancer", "colour"];

/// Whether a line that only may be what must go stays until its label is read: an allergen is stated there,
/// and what is there for its taste is not thrown out on a guess.
pub(super) fn label_tells(expr: &Expr, ingredient: &Ingredient) -> bool {
    let mut allergen = false;
    expr.visit(&mut |test| allergen |= matches!(test, Test::Contains(..)));
    allergen || tasted(ingredient)
}

/// Whether a condition asks for figures and kinds alone: a figure that is not known throws nothing out, as an
/// allergen that is not known does.
pub(super) fn of_figures(expr: &Expr) -> bool {
    let mut figures = true;
    expr.visit(&mut |test| {
        figures &= matches!(
            test,
            Test::Number { .. } | Test::Between { .. } | Test::Is(..)
        )
    });
    figures
}

/// Whether something is put in for its taste or colour first of all.
pub(super) fn tasted(ingredient: &Ingredient) -> bool {
    let foremost = ingredient.functions.first();
    foremost.is_some_and(|job| TASTED.contains(&job.as_str()))
}

/// Whether a line is called an allergen's bearer by its origin alone, and a law exempts it from
/// being declared as such.
pub(super) fn exempted(catalogue: &Catalogue, expr: &Expr, key: IngredientKey) -> bool {
    let ingredient = catalogue.ingredient(key);
    let mut gluten = vec![];
    let mut others = false;
    expr.visit(&mut |test| match test {
        Test::Contains(Subject::This, allergen) => {
            let substances = catalogue.substances(allergen);
            let cereals = catalogue.substances(EXEMPTED);
            match substances.iter().all(|s| cereals.contains(s)) {
                true => gluten.extend(substances),
                false => others = true,
            }
        }
        _ => others = true,
    });
    if others || judge(expr, &Facts::of(catalogue, ingredient)) != Truth::Unknown {
        return false;
    }
    let rows = &ingredient.allergens;
    let mut open = rows.iter().filter(|row| {
        gluten.contains(&row.substance.as_str())
            && matches!(row.presence, Presence::MayContain | Presence::Unknown)
    });
    let freed = |substance: &str| {
        let mut each = rows.iter().filter(|r| r.substance == substance);
        each.any(|r| r.presence == Presence::Exempt)
    };
    !rows.is_empty() && open.all(|row| freed(&row.substance))
}
