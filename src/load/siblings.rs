//! Rules that name one form of a thing and not its siblings: to be looked at, no mistake by itself.

use std::collections::BTreeMap;

use crate::condition::belongs;
use crate::diagnostic::Diagnostic;
use crate::model::{Catalogue, Expr, Group, Rule, RuleKind, Test};

/// How many of the missed are told by name.
const TOLD: usize = 6;

/// A note for every rule that names an ingredient, neither names nor excludes the others of its
/// group, and does not say in `only` why; and for every `only` that nothing asks for.
pub fn notes(catalogue: &Catalogue) -> Vec<Diagnostic> {
    catalogue
        .rules
        .iter()
        .filter_map(|rule| note(catalogue, rule))
        .collect()
}

fn note(catalogue: &Catalogue, rule: &Rule) -> Option<Diagnostic> {
    let missed = missed(catalogue, rule);
    let at = |code, message: String| {
        Diagnostic::new(code, rule.row.file.clone(), message).at(rule.row.line, 0)
    };
    match (missed.is_empty(), rule.only.is_empty()) {
        (true, true) | (false, false) => None,
        (true, false) => Some(
            at(
                "D075",
                format!("rule `{}` says why it names few, and misses none", rule.id),
            )
            .help("delete `only`"),
        ),
        (false, true) => {
            let each = missed.iter().map(|(group, (named, others))| {
                let more = match others.len().checked_sub(TOLD) {
                    Some(more @ 1..) => format!(" and {more} more"),
                    _ => String::new(),
                };
                let told = others[..others.len().min(TOLD)].join(", ");
                format!("{} and not {told}{more} (group {group})", named.join(", "))
            });
            let each: Vec<String> = each.collect();
            Some(
                at(
                    "D074",
                    format!("rule `{}` names {}", rule.id, each.join("; ")),
                )
                .help("name the group, the others, or the reason in a line `only = \"...\"`"),
            )
        }
    }
}

/// By group of siblings: those a rule names, and those it misses.
fn missed<'a>(
    catalogue: &'a Catalogue,
    rule: &'a Rule,
) -> BTreeMap<&'a str, (Vec<&'a str>, Vec<&'a str>)> {
    let named = named(rule);
    let ids: Vec<&str> = named
        .iter()
        .filter_map(|group| match group {
            Group::Ingredient(id) => Some(id.as_str()),
            _ => None,
        })
        .collect();
    let covered = |id: &str| {
        let member = catalogue.key(id).map(|key| catalogue.ingredient(key));
        member.is_some_and(|i| named.iter().any(|group| belongs(i, group)))
    };
    let mut found = BTreeMap::new();
    for kin in catalogue.groups.iter().filter(|kin| kin.siblings) {
        let members = || kin.members.iter().map(String::as_str);
        let mut some: Vec<&str> = members().filter(|id| ids.contains(id)).collect();
        let others: Vec<&str> = members().filter(|id| !covered(id)).collect();
        if !some.is_empty() && !others.is_empty() {
            some.dedup();
            found.insert(kin.id.as_str(), (some, others));
        }
    }
    found
}

/// Everyone a rule speaks of.
fn named(rule: &Rule) -> Vec<Group> {
    let mut found = asked(&rule.when);
    let ids = |ids: &[String]| {
        ids.iter()
            .cloned()
            .map(Group::Ingredient)
            .collect::<Vec<_>>()
    };
    match &rule.kind {
        RuleKind::Swap { out, newcomers, .. } => {
            found.push(out.clone());
            found.extend(ids(newcomers));
        }
        RuleKind::Diagnosis { test, lever, .. } => {
            found.extend(asked(test));
            if let Some(lever) = lever {
                found.extend(lever.out.iter().cloned());
                found.extend(ids(&lever.newcomers));
            }
        }
        RuleKind::Helper { newcomer } => found.push(Group::Ingredient(newcomer.clone())),
        RuleKind::Candidate { out } => found.push(out.clone()),
        RuleKind::Interaction { .. }
        | RuleKind::Process { .. }
        | RuleKind::Caution { .. }
        | RuleKind::Care { .. }
        | RuleKind::Purpose { .. }
        | RuleKind::Dish { .. }
        | RuleKind::Guard { .. }
        | RuleKind::Dial { .. }
        | RuleKind::Drawback { .. } => {}
    }
    found
}

fn asked(condition: &Expr) -> Vec<Group> {
    let mut found = vec![];
    condition.visit(&mut |test| match test {
        Test::Is(_, group) | Test::MixHas(group) | Test::Share(group, ..) => {
            found.push(group.clone());
        }
        _ => {}
    });
    found
}
