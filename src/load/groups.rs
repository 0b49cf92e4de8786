//! Groups of ingredients: the tree of `schema/groups.csv` and the members of `data/groups.csv`.

use std::collections::BTreeMap;

use super::assemble::{owner, table};
use super::files::Files;
use super::table::Table;
use crate::diagnostic::{Diagnostic, nearest};
use crate::model::{Ingredient, Kin};

const TREE: &str = "schema/groups.csv";
const MEMBERS: &str = "data/groups.csv";
/// Before the id of a family all of which is in a group, a person's own members too.
const FAMILY: &str = "family ";

/// Reads both tables; every ingredient learns the groups it is in, nearest first.
pub(super) fn read(
    files: &Files,
    ingredients: &mut BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Kin> {
    let mut groups = tree(files, ingredients, problems);
    let mut listed: Vec<(String, String)> = own_members(ingredients, &groups, problems);
    let wanted = ["group", "ingredient"];
    if let Some(t) = table(files, MEMBERS, &wanted, problems) {
        for r in &t.records {
            let group = t.own(r, "group");
            if !groups.iter().any(|kin| kin.id == group) {
                problems.push(unknown(&t, r, "group", &group, &groups));
                continue;
            }
            let members = match t.get(r, "ingredient").strip_prefix(FAMILY) {
                Some(family) => of_family(ingredients, family),
                None => owner(&t, r, ingredients, problems).map(|i| vec![i.id.clone()]),
            };
            let Some(members) = members else {
                if t.get(r, "ingredient").starts_with(FAMILY) {
                    let message = format!("no {} is known", t.get(r, "ingredient"));
                    problems.push(
                        t.cell_problem("D011", r, "ingredient", message).help(
                            "write `family` and the id of one, as data/ingredients.csv has it",
                        ),
                    );
                }
                continue;
            };
            let rows = members.into_iter().map(|id| (group.clone(), id));
            let (twice, new): (Vec<_>, Vec<_>) = rows.partition(|row| listed.contains(row));
            listed.extend(new);
            if let Some(row) = twice.first() {
                let message = format!("`{}` stands twice in `{}`", row.1, row.0);
                problems.push(
                    t.cell_problem("D008", r, "ingredient", message)
                        .help("delete one of the two rows"),
                );
            }
        }
    }
    for (group, id) in &listed {
        let above = line(&groups, group);
        if let Some(ingredient) = ingredients.get_mut(id) {
            let new = above.into_iter().filter(|g| !ingredient.groups.contains(g));
            let new: Vec<String> = new.collect();
            ingredient.groups.extend(new);
        }
    }
    for kin in &mut groups {
        let mut members: Vec<&Ingredient> = vec![];
        for (_, id) in &listed {
            let member = ingredients.get(id).filter(|i| i.groups.contains(&kin.id));
            members.extend(member.filter(|i| !members.iter().any(|m| m.id == i.id)));
        }
        // Of the equally common the one that the table names first.
        members.sort_by_key(|i| i.commonness);
        kin.members = members.iter().map(|i| i.id.clone()).collect();
    }
    groups
}

/// The ids of all of a family; `None` where there is none.
fn of_family(ingredients: &BTreeMap<String, Ingredient>, family: &str) -> Option<Vec<String>> {
    let members = ingredients.values().filter(|i| i.family == family);
    let ids: Vec<String> = members.map(|i| i.id.clone()).collect();
    (!ids.is_empty()).then_some(ids)
}

/// A group with all it is part of, nearest first.
fn line(groups: &[Kin], id: &str) -> Vec<String> {
    let mut found: Vec<String> = vec![];
    let mut next = id;
    while let Some(kin) = groups.iter().find(|kin| kin.id == next)
        && !found.contains(&kin.id)
    {
        found.push(kin.id.clone());
        next = &kin.parent;
    }
    found
}

fn tree(
    files: &Files,
    ingredients: &BTreeMap<String, Ingredient>,
    problems: &mut Vec<Diagnostic>,
) -> Vec<Kin> {
    let wanted = ["group", "name", "parent", "siblings", "meaning"];
    let Some(t) = table(files, TREE, &wanted, problems) else {
        return vec![];
    };
    let mut groups: Vec<Kin> = vec![];
    for r in &t.records {
        let kin = Kin {
            id: t.own(r, "group"),
            name: t.own(r, "name"),
            parent: t.own(r, "parent"),
            siblings: t.get(r, "siblings") == "yes",
            meaning: t.own(r, "meaning"),
            members: vec![],
        };
        // A person's own ingredient may be called as a group is.
        let clashes = |i: &Ingredient| !i.own && (i.id == kin.id || i.family == kin.id);
        if ingredients.values().any(clashes) {
            let message = format!("`{}` is the id of an ingredient or a family", kin.id);
            problems.push(
                t.cell_problem("D073", r, "group", message)
                    .help(format!("call it `{}-kind`", kin.id)),
            );
        }
        if !["", "yes"].contains(&t.get(r, "siblings")) {
            let message = format!("`{}` is not known here", t.get(r, "siblings"));
            problems.push(t.cell_problem("D073", r, "siblings", message).help(
                "write yes where a rule on one member is asked about the others, or leave it empty",
            ));
        }
        if groups.iter().any(|other| other.id == kin.id) {
            let message = format!("the group `{}` stands twice", kin.id);
            problems.push(
                t.cell_problem("D008", r, "group", message)
                    .help("delete one of the two rows"),
            );
            continue;
        }
        groups.push(kin);
    }
    for r in &t.records {
        let (id, parent) = (t.get(r, "group"), t.get(r, "parent"));
        if !parent.is_empty() && !groups.iter().any(|kin| kin.id == parent) {
            problems.push(unknown(&t, r, "parent", parent, &groups));
        }
        if line(&groups, parent).iter().any(|above| above == id) {
            problems.push(
                t.cell_problem("D073", r, "parent", format!("`{id}` is a part of itself"))
                    .help("name a group above it, or none"),
            );
        }
    }
    groups
}

/// What own ingredients say of the groups they are in.
fn own_members(
    ingredients: &mut BTreeMap<String, Ingredient>,
    groups: &[Kin],
    problems: &mut Vec<Diagnostic>,
) -> Vec<(String, String)> {
    let mut listed = vec![];
    for i in ingredients.values_mut() {
        for group in std::mem::take(&mut i.groups) {
            if groups.iter().any(|kin| kin.id == group) {
                listed.push((group, i.id.clone()));
                continue;
            }
            problems.push(
                Diagnostic::new(
                    "D065",
                    i.row.file.clone(),
                    format!("no group is called `{group}`"),
                )
                .at(i.row.line, 0)
                .help(near(&group, groups)),
            );
        }
    }
    listed
}

fn unknown(t: &Table<'_>, r: &super::Record, column: &str, id: &str, groups: &[Kin]) -> Diagnostic {
    t.cell_problem("D072", r, column, format!("no group is called `{id}`"))
        .help(near(id, groups))
}

fn near(id: &str, groups: &[Kin]) -> String {
    let near = nearest(id, groups.iter().map(|kin| kin.id.as_str()));
    near.map_or(format!("add it to {TREE}"), |n| {
        format!("the nearest is `{n}`")
    })
}
