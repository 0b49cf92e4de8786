//! Answers as a cook reads them: the first line answers, then what to weigh, what changes, what to
//! watch, what was assumed. The rest waits behind `--why`.

use super::card;
use super::page::{Page, pad, right};
use crate::answer::{
    Amount, Asked, AssumedOut, Cause, Comparison, FindingOut, Hits, Kind, OptionOut, ProfileOut,
    StepOut, SwapOut, Verdict,
};
use crate::engine::{figure, told_figure};
use crate::formula::weighed;
use crate::model::{Dial, Severity};

/// Cautions shown before the rest waits.
const CAUTIONS: usize = 3;
/// Assumptions shown before the rest waits.
const ASSUMED: usize = 3;
/// Other options shown in a line each.
const OPTIONS: usize = 3;
/// Figures that moved, shown in one line.
const MOVED: usize = 5;
/// Rows of a search.
const HITS: usize = 12;
/// Causes of a fault behind the first.
const CAUSES: usize = 2;
/// Rows of a comparison.
const ROWS: usize = 14;

/// The answer to a question in words.
pub fn asked(page: &mut Page, a: &Asked) {
    for (typed, meant) in &a.corrected {
        page.labelled("  ", &format!("`{typed}` read as {meant}"));
    }
    if !a.summary.is_empty() {
        page.head(&a.summary);
    }
    for (n, reading) in a.readings.iter().enumerate() {
        page.labelled(&format!("  {}  ", n + 1), &reading.understood);
    }
    match a.kind {
        Kind::Lookup => match a.profile.as_slice() {
            // A name alone asks what the thing is.
            [p] if p.summary == a.summary => card::body(page, p),
            several => several.iter().for_each(|p| lookup(page, p, several.len())),
        },
        Kind::Search => a.hits.iter().for_each(|h| hits(page, h)),
        Kind::Compare => a.comparison.iter().for_each(|c| comparison(page, c)),
        Kind::Swap | Kind::Adjust => a.swap.iter().for_each(|s| swap_body(page, s)),
        Kind::Diagnose => causes(page, &a.causes),
        Kind::HowTo => {
            super::plan::steps(page, &a.plan, false);
            steps(page, &a.steps);
        }
        Kind::Assess
        | Kind::WhatIf
        | Kind::Role
        | Kind::Legal
        | Kind::Safety
        | Kind::AskBack
        | Kind::Nothing => {}
    }
    for told in a
        .told
        .iter()
        .filter(|told| !a.summary.ends_with(told.as_str()))
    {
        page.labelled("  ", told);
    }
    if let Some(assessment) = &a.assessment {
        super::brief_assessment::print(page, assessment);
    }
    assumed(page, a.assumed.iter().filter(|said| **said != a.summary));
    if !a.set_aside.is_empty() && a.kind != Kind::Nothing {
        page.labelled("  Not used: ", &a.set_aside.join(", "));
    }
    for other in &a.also {
        page.gap();
        asked(page, other);
    }
}

/// A swap or a rebalance.
pub fn swap(page: &mut Page, s: &SwapOut) {
    page.head(&s.summary);
    swap_body(page, s);
    assumed(page, s.assumed.iter());
}

fn swap_body(page: &mut Page, s: &SwapOut) {
    if let Some(first) = s.options.first() {
        option(page, first);
    }
    if !s.as_added.is_empty() {
        let each = s.as_added.iter().filter_map(|c| {
            let dial = Dial::parse(&c.property)?;
            let (was, is) = (told_figure(dial, c.before), told_figure(dial, c.after));
            Some(format!("{} {was} -> {is} {}", dial.name(), dial.unit()))
        });
        let each: Vec<String> = each.take(MOVED).collect();
        page.labelled("  Added alone: ", &each.join(", "));
    }
    if s.options.is_empty() {
        for why in s.why_none.iter().skip(1).take(CAUTIONS) {
            page.labelled("  - ", &why.text);
        }
        if let Some(nearest) = s.nearest.first() {
            page.gap();
            page.line("The nearest miss:");
            page.labelled("  ", &nearest.summary);
            option(page, nearest);
        }
    }
    others(page, s);
}

/// Other options, a line each.
fn others(page: &mut Page, s: &SwapOut) {
    // Options that bring and take the same things are shades of one.
    let kind = |o: &OptionOut| -> Vec<String> {
        let of = |amounts: &[Amount]| amounts.iter().map(|a| a.id.clone()).collect::<Vec<_>>();
        let mut ids = [of(&o.ingredients), of(&o.removed), of(&o.balanced)].concat();
        ids.sort_unstable();
        ids
    };
    let mut seen: Vec<Vec<String>> = s.options.first().map(kind).into_iter().collect();
    let mut more: Vec<&OptionOut> = vec![];
    for option in s.options.iter().skip(1) {
        if !seen.contains(&kind(option)) && more.len() < OPTIONS {
            seen.push(kind(option));
            more.push(option);
        }
    }
    if !more.is_empty() {
        page.gap();
    }
    for other in more {
        let summary = other.summary.trim_end_matches('.');
        page.labelled(&format!("  {}  ", other.rank), summary);
    }
    if s.options.len() <= 1 && !s.others.is_empty() {
        page.gap();
        for other in s.others.iter().take(OPTIONS) {
            let lost = match other.lost.as_str() {
                "" => String::new(),
                lost => format!("; lost: {lost}"),
            };
            let each: Vec<String> = other
                .ingredients
                .iter()
                .map(|a| format!("{} g {}", weighed(a.grams), a.name))
                .collect();
            page.labelled("  or  ", &format!("{}{lost}", each.join(" + ")));
        }
    }
}

/// One option: what to weigh, what changes, how it eats, what to watch.
pub fn option(page: &mut Page, o: &OptionOut) {
    if !o.formula.is_empty() {
        page.gap();
        weigh(page, o);
    }
    let moved: Vec<String> = Dial::ALL
        .into_iter()
        .filter_map(|(dial, ..)| {
            let changed = o.changed.iter().find(|c| c.property == dial.id());
            let kept = o.kept.iter().find(|k| k.asked && k.property == dial.id());
            let (before, after) = changed
                .map(|c| (c.before, c.after))
                .or(kept.map(|k| (k.before, k.after)))?;
            let (was, is) = (told_figure(dial, before), told_figure(dial, after));
            Some(format!("{} {was} -> {is} {}", dial.name(), dial.unit()))
        })
        .take(MOVED)
        .collect();
    if !moved.is_empty() || !o.changes.is_empty() || !o.lost.is_empty() {
        page.gap();
    }
    if !moved.is_empty() {
        page.labelled("  ", &moved.join("   "));
    }
    if !o.changes.is_empty() {
        page.labelled("  Eats: ", &o.changes);
    }
    if !o.lost.is_empty() {
        page.labelled("  Lost: ", &o.lost);
    }
    cautions(page, &o.cautions);
}

/// What to weigh: grams first, in the order of the formula, what changed marked.
fn weigh(page: &mut Page, o: &OptionOut) {
    let moved = |id: &str| -> f64 {
        let of = |amounts: &[Amount]| -> f64 {
            amounts.iter().filter(|a| a.id == id).map(|a| a.grams).sum()
        };
        of(&o.ingredients) - of(&o.removed) + of(&o.balanced)
    };
    let widest = o.formula.iter().map(|a| a.name.chars().count()).max();
    let widest = widest.unwrap_or(0).min(40);
    for line in &o.formula {
        let change = moved(&line.id);
        let mark = match change {
            c if c > 0.0 => format!("+{}", weighed(c)),
            c if c < 0.0 => format!("-{}", weighed(-c)),
            _ => String::new(),
        };
        let grams = right(&weighed(line.grams), 8);
        page.line(&format!("{grams} g  {}  {mark}", pad(&line.name, widest)));
    }
    let gone = o
        .removed
        .iter()
        .filter(|a| o.formula.iter().all(|line| line.id != a.id));
    for line in gone {
        let grams = right("0", 8);
        let mark = format!("-{}", weighed(line.grams));
        page.line(&format!("{grams} g  {}  {mark}", pad(&line.name, widest)));
    }
}

/// At most three cautions, the harmful first; what only informs waits.
pub fn cautions(page: &mut Page, cautions: &[FindingOut]) {
    let mut apt: Vec<&FindingOut> = cautions
        .iter()
        .filter(|f| f.severity > Severity::Info && !f.standing)
        .collect();
    apt.sort_by_key(|f| std::cmp::Reverse(f.severity));
    for f in apt.iter().take(CAUTIONS) {
        let label = match f.severity {
            Severity::Stop => "  STOP: ",
            Severity::Watch | Severity::Info => "  Watch: ",
        };
        page.marked(f.severity, label, &f.text);
    }
}

/// What was taken for granted.
pub fn assumed<'a>(page: &mut Page, said: impl Iterator<Item = &'a String>) {
    let said: Vec<&String> = said.collect();
    for said in said.iter().take(ASSUMED) {
        page.labelled("  Taken: ", said);
    }
    if let Some(more @ 1..) = said.len().checked_sub(ASSUMED) {
        page.line(&format!("  {more} more taken for granted: see --why"));
    }
}

/// What names were taken for; what matters first.
pub fn names(page: &mut Page, assumed: &[AssumedOut], aside: &[String]) {
    let mut each: Vec<&AssumedOut> = assumed.iter().collect();
    each.sort_by_key(|a| a.effect.is_empty());
    for a in &each {
        let said = a.said.join("; ");
        page.labelled("  ", &format!("{} taken as {}: {said}", a.typed, a.name));
        for effect in &a.effect {
            page.marked(Severity::Watch, "    Check: ", effect);
        }
    }
    for text in aside {
        page.labelled("  ", text);
    }
}

/// One value in a line, others in a second.
fn lookup(page: &mut Page, p: &ProfileOut, profiles: usize) {
    if profiles > 1 {
        page.labelled("  ", &p.name);
    }
    let cited = |v: &crate::answer::ValueOut| super::page::cited(&v.source, &v.locator);
    let mut seen: Vec<(&str, &str)> = vec![];
    for v in &p.values {
        let key = (v.property.as_str(), v.condition.as_str());
        let again = seen.contains(&key);
        seen.push(key);
        let condition = match v.condition.as_str() {
            "" => String::new(),
            condition => format!(" ({})", condition.replace('=', " ").replace(';', ", ")),
        };
        let label = match again {
            true => "      also ".to_string(),
            false => format!("  {} ", v.property.replace('_', " ")),
        };
        page.labelled(&label, &format!("{}{condition}  {}", figure(v), cited(v)));
    }
    super::print_knowledge::allergens(page, &p.allergens);
}

/// One ingredient: what decides how it is used.
pub fn profile(page: &mut Page, p: &ProfileOut) {
    page.head(&p.summary);
    card::body(page, p);
}

/// Ingredients found: name, the figures asked for, why it fits.
pub fn hits(page: &mut Page, h: &Hits) {
    let widest = h.hits.iter().map(|hit| hit.name.chars().count()).max();
    let widest = widest.unwrap_or(0).min(44);
    for hit in h.hits.iter().take(HITS) {
        let figures: Vec<String> = hit
            .values
            .iter()
            .map(|(property, figure)| format!("{} {figure}", property.replace('_', " ")))
            .chain(hit.texts.values().cloned())
            .collect();
        let figures: Vec<String> = figures.into_iter().filter(|f| f != "yes").collect();
        let told = match (figures.is_empty(), hit.dose.is_empty()) {
            (true, true) => hit.why.clone(),
            (true, false) => hit.dose.clone(),
            (false, _) => figures.join(", "),
        };
        page.labelled(&format!("  {}  ", pad(&hit.name, widest)), &told);
    }
    let left = h.total.saturating_sub(HITS.min(h.hits.len()));
    if left > 0 {
        page.line(&format!("  and {left} more"));
    }
    if !h.unknown.is_empty() {
        let some: Vec<&str> = h.unknown.iter().take(5).map(String::as_str).collect();
        let more = h.unknown.len().saturating_sub(some.len());
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        page.labelled("  Not known of: ", &format!("{}{more}", some.join(", ")));
    }
    if !h.caution.is_empty() {
        page.labelled("  Watch: ", &h.caution);
    }
    names(page, &h.assumed, &[]);
}

/// Ingredients side by side: the rows that tell them apart.
pub fn comparison(page: &mut Page, c: &Comparison) {
    let differs = |row: &&crate::answer::ComparedRow| {
        let told: Vec<String> = row.values.iter().flatten().map(figure).collect();
        row.values.iter().any(Option::is_some)
            && (told.len() < row.values.len() || told.iter().any(|t| *t != told[0]))
    };
    let rows: Vec<_> = c.rows.iter().filter(differs).collect();
    super::print_knowledge::rows(page, c, &rows[..rows.len().min(ROWS)]);
    if rows.len() > ROWS {
        page.line(&format!("  and {} more rows: --why", rows.len() - ROWS));
    }
    cautions(page, &c.together);
    names(page, &c.assumed, &[]);
}

/// Causes of a fault, each with its fix in grams.
fn causes(page: &mut Page, causes: &[Cause]) {
    let shows = |c: &Cause| matches!(c.verdict, Verdict::Found | Verdict::PossibleHere);
    let judged = causes.iter().any(shows);
    if let Some(first) = causes.first().filter(|c| !c.formula.is_empty()) {
        let fix = OptionOut {
            formula: first.formula.clone(),
            balanced: first.grams.clone(),
            changed: first.effect.clone(),
            ..OptionOut::default()
        };
        option(page, &fix);
        page.gap();
    }
    let (shown, rest): (Vec<&Cause>, Vec<&Cause>) = causes
        .iter()
        .skip(1)
        .filter(|c| c.verdict != Verdict::NotFound)
        .partition(|c| !judged || shows(c));
    for cause in shown.into_iter().take(CAUSES + usize::from(!judged)) {
        let fix = match cause.grams.is_empty() {
            true => cause.fix.clone(),
            false => {
                let edits = cause.grams.iter();
                let edits: Vec<String> = edits
                    .map(|a| {
                        format!(
                            "{} {}{} g",
                            a.name,
                            if a.grams < 0.0 { "-" } else { "+" },
                            weighed(a.grams.abs())
                        )
                    })
                    .collect();
                edits.join(", ")
            }
        };
        let shown_by = match cause.shown_by.as_str() {
            "" => String::new(),
            by => format!(" ({by})"),
        };
        let text = format!("{}{shown_by}: {fix}", cause.cause.trim_end_matches('.'));
        page.labelled("  Then look at: ", &text);
    }
    if judged && !rest.is_empty() {
        let names: Vec<&str> = rest
            .iter()
            .map(|c| c.cause.trim_end_matches('.'))
            .take(3)
            .collect();
        page.labelled("  Figures cannot show: ", &names.join("; "));
    }
}

/// Steps in order.
fn steps(page: &mut Page, steps: &[StepOut]) {
    if steps.len() < 2 {
        return;
    }
    for (n, step) in steps.iter().enumerate() {
        let heat = step.celsius.map_or(String::new(), |c| format!(" {c:.0} C"));
        let time = step
            .minutes
            .map_or(String::new(), |m| format!(" {m:.0} min"));
        page.labelled(
            &format!("  {}  ", n + 1),
            &format!("{}{heat}{time}: {}", step.phase, step.text),
        );
    }
}
