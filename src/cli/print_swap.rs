//! Swaps and answers to questions, as text.

use super::own;
use super::page::{Page, cited, pad, right};
use super::{print_assessment, print_knowledge};
use crate::answer::{Amount, Asked, Cause, ChangedOut, Kind, OptionOut, SwapOut, Verdict};
use crate::engine::number;
use crate::formula::weighed;
use crate::model::{Dial, Severity};

/// Dials every option shows, in the order a person reads them.
const SHOWN: [Dial; 6] = [
    Dial::Sweetness,
    Dial::FreezingPoint,
    Dial::FrozenAt18,
    Dial::FrozenAt12,
    Dial::TotalSolids,
    Dial::Fat,
];

/// Ingredients named that were left out for want of knowledge.
const UNKNOWN_SHOWN: usize = 12;

/// The answer to a question in words.
pub fn asked(page: &mut Page, a: &Asked) {
    if !a.understood.is_empty() {
        page.labelled("understood: ", &a.understood);
    }
    if !a.corrected.is_empty() {
        let read = |(typed, meant): &(String, String)| format!("`{typed}` read as {meant}");
        let all: Vec<String> = a.corrected.iter().map(read).collect();
        page.labelled("corrected: ", &all.join(", "));
    }
    if !a.set_aside.is_empty() && a.kind != Kind::Nothing {
        page.labelled("set aside: ", &a.set_aside.join(", "));
    }
    for assumed in &a.assumed {
        page.labelled("assumed: ", assumed);
    }
    if !a.ask.is_empty() {
        page.labelled("", &a.ask);
    }
    for (n, reading) in a.readings.iter().enumerate() {
        page.labelled(&format!("  {}. ", n + 1), &reading.understood);
    }
    if a.profile.len() == 1 || !a.profile.is_empty() {
        for profile in &a.profile {
            page.gap();
            print_knowledge::profile(page, profile);
        }
    }
    if let Some(hits) = &a.hits {
        print_knowledge::hits(page, hits);
    }
    if let Some(comparison) = &a.comparison {
        page.gap();
        print_knowledge::comparison(page, comparison);
    }
    if let Some(s) = &a.swap {
        swap(page, s);
    }
    for told in &a.told {
        page.labelled("", told);
    }
    if let Some(assessment) = &a.assessment {
        page.gap();
        print_assessment::print(page, assessment, None);
    }
    super::plan::steps(page, &a.plan, true);
    if a.kind == Kind::HowTo && a.steps.is_empty() && a.plan.is_empty() {
        page.line("No rule of process is known for that.");
    }
    print_assessment::steps(page, &a.steps);
    causes(page, &a.causes);
    for other in &a.also {
        page.gap();
        asked(page, other);
    }
}

/// A swap or a rebalance.
pub fn swap(page: &mut Page, s: &SwapOut) {
    if !s.understood.is_empty() {
        page.labelled("understood: ", &s.understood);
    }
    for assumed in &s.assumed {
        page.labelled("assumed: ", assumed);
    }
    if !s.formula.is_empty() {
        page.labelled("formula: ", &s.formula);
    }
    as_added(page, s);
    left(page, s);
    if !s.direct.is_empty() {
        page.gap();
        page.head(&s.direct);
    }
    for n in 0..s.options.len() {
        option(page, &s.options, n, s.dish.is_empty());
    }
    others(page, s);
    if s.options.is_empty() {
        page.gap();
        page.head("Nothing does all of that.");
    }
    why_none(page, s);
    if !s.nearest.is_empty() {
        page.gap();
        page.head("The nearest misses");
        for n in 0..s.nearest.len() {
            option(page, &s.nearest, n, s.dish.is_empty());
        }
    }
    own::overruled(page, &s.overruled);
    searched(page, s);
}

/// What an addition moves when nothing else is done.
fn as_added(page: &mut Page, s: &SwapOut) {
    if !s.as_added.is_empty() {
        let each = s.as_added.iter().filter_map(|c| {
            let dial = Dial::parse(&c.property)?;
            let (was, is) = (number(dial, c.before), number(dial, c.after));
            Some(format!("{} {was} to {is} {}", dial.name(), dial.unit()))
        });
        let each: Vec<String> = each.collect();
        page.labelled("just added: ", &each.join(", "));
    }
}

/// What else the rules name for the same thing.
fn others(page: &mut Page, s: &SwapOut) {
    for (n, other) in s.others.iter().enumerate() {
        let mut text = list(&other.ingredients);
        if !other.instead_of.is_empty() {
            text = format!("for {}: {text}", other.instead_of);
        } else if !other.jobs.is_empty() {
            text = format!("{}: {text}", other.jobs.join(", "));
        }
        if !other.lost.is_empty() {
            text.push_str(&format!("; lost: {}", other.lost));
        }
        if n == 0 {
            page.gap();
            let one_by_one = s.options.iter().any(|o| o.jobs.len() > other.jobs.len());
            page.line(match (other.instead_of.is_empty(), one_by_one) {
                (false, _) => "Other stand-ins, one by one:",
                (true, true) => "Job by job, where not all of them are needed:",
                (true, false) => "Other ways by rule:",
            });
        }
        page.labelled(
            "  - ",
            &format!("{text} {}", cited(&other.source, &other.locator)),
        );
    }
}

/// Why there is no option, or what one does not keep.
fn why_none(page: &mut Page, s: &SwapOut) {
    if !s.why_none.is_empty() {
        // Where nothing was searched, one thing was lacking.
        if s.proof.is_some() || s.why_none.len() > 1 || !s.nearest.is_empty() {
            let met = !s.options.is_empty();
            if met {
                page.gap();
            }
            page.labelled(
                "  ",
                match met {
                    true => "What it does not keep:",
                    false => "These demands conflict:",
                },
            );
        }
        for why in &s.why_none {
            page.labelled("  - ", &why.text);
        }
    }
}

/// What was searched, and what was left out for want of knowledge.
fn searched(page: &mut Page, s: &SwapOut) {
    if let Some(p) = s.proof.as_ref().filter(|p| p.candidates > 0) {
        page.gap();
        page.labelled(
            "",
            &format!(
                "Searched: {} ingredient{} that may come in, alone and together; each option is worked out again in full as it is weighed.",
                p.candidates,
                if p.candidates == 1 { "" } else { "s" },
            ),
        );
    }
    if !s.unknown.is_empty() {
        let mut named = s.unknown[..s.unknown.len().min(UNKNOWN_SHOWN)].join(", ");
        if s.unknown.len() > UNKNOWN_SHOWN {
            named.push_str(&format!(" and {} more", s.unknown.len() - UNKNOWN_SHOWN));
        }
        page.labelled("not considered, because the data does not say: ", &named);
    }
}

fn list(amounts: &[Amount]) -> String {
    let each = amounts.iter().map(|a| {
        let span = a
            .span
            .filter(|(low, high)| high > low)
            .map_or(String::new(), |(low, high)| {
                format!(" ({} to {})", weighed(low), weighed(high))
            });
        format!("{} g {}{span}", weighed(a.grams), a.name)
    });
    each.collect::<Vec<_>>().join(" + ")
}

/// What comes in and what goes.
fn exchanged(page: &mut Page, o: &OptionOut) {
    page.head(&format!("{}. in: {}", o.rank, list(&o.ingredients)));
    let mut out = format!("out: {}", list(&o.removed));
    for b in &o.balanced {
        out.push_str(&format!("; {} {} g", b.name, signed(b.grams)));
    }
    page.labelled("   ", &out);
}

/// What must go and has no stand-in, before anything else is said.
fn left(page: &mut Page, s: &SwapOut) {
    let named = |still_in: bool| -> Vec<&crate::answer::LeftOut> {
        s.left.iter().filter(|l| l.still_in == still_in).collect()
    };
    let list = |each: &[&crate::answer::LeftOut]| -> String {
        let names: Vec<&str> = each.iter().map(|l| l.name.as_str()).collect();
        names.join(", ")
    };
    let still = named(true);
    if !still.is_empty() {
        page.gap();
        page.marked(
            Severity::Stop,
            "STILL IN THE FORMULA: ",
            &format!("{}. Nothing known here takes the place.", list(&still)),
        );
    }
    for gone in named(false) {
        let job = match gone.job.as_str() {
            "" => "what else is in the mix does its job".to_string(),
            job => format!("nothing known takes over its job ({job}): make a small batch first"),
        };
        page.labelled("taken out bare: ", &format!("{}; {job}", gone.name));
    }
}

/// One of several options; a caution is told under the first that calls for it, which names the others.
fn option(page: &mut Page, options: &[OptionOut], place: usize, frozen: bool) {
    let o = &options[place];
    page.gap();
    // A batch only scaled brings nothing in and takes nothing out.
    if o.ingredients.is_empty() && o.removed.is_empty() && o.balanced.is_empty() {
        page.head(&format!("{}. as it is", o.rank));
    } else {
        exchanged(page, o);
    }
    figures_of(page, o, frozen);
    grounds(page, o);
    cautions(page, options, place);
    weigh(page, o);
    // A miss does not hold to begin with.
    if let Some(confidence) = o.confidence.filter(|_| o.miss.is_none_or(|m| m <= 1.0)) {
        page.labelled(
            "   holds:   ",
            &format!(
                "in {:.0} of 100 tries with every ingredient somewhere in its stated range",
                100.0 * confidence
            ),
        );
    }
}

/// The figures before and after, where they were worked out.
fn figures_of(page: &mut Page, o: &OptionOut, frozen: bool) {
    if o.before.is_none() || o.after.is_none() {
        return;
    }
    page.line(&format!(
        "   {}{}{}",
        pad("", 24),
        right("before", 9),
        right("after", 9)
    ));
    let colds = [Dial::FreezingPoint, Dial::FrozenAt18, Dial::FrozenAt12];
    let told = |dial: Dial| frozen || !colds.contains(&dial);
    for dial in SHOWN.into_iter().filter(|d| told(*d)) {
        dial_line(page, o, dial, true);
    }
    if let Some((before, after)) = o.acidity {
        page.line(&format!(
            "   {}{}{}  %",
            pad("acid, as citric", 24),
            right(&format!("{before:.2}"), 9),
            right(&format!("{after:.2}"), 9)
        ));
    }
    for (dial, ..) in Dial::ALL {
        let changed = o.changed.iter().any(|c| c.property == dial.id());
        if !SHOWN.contains(&dial) && (changed || dial == Dial::Price) {
            dial_line(page, o, dial, false);
        }
    }
}

/// What it does, loses and changes, why, and the steps it adds.
fn grounds(page: &mut Page, o: &OptionOut) {
    if !o.jobs.is_empty() {
        page.labelled("   does:    ", &o.jobs.join(", "));
    }
    if !o.lost.is_empty() {
        page.labelled("   lost:    ", &o.lost);
    }
    if !o.changes.is_empty() {
        page.labelled("   changes: ", &o.changes);
    }
    for r in &o.reasons {
        page.labelled(
            "   why:     ",
            &format!("{} {}", r.text, cited(&r.source, &r.locator)),
        );
    }
    for s in &o.process {
        let heat = s.celsius.map_or(String::new(), |c| format!("{c:.0} C: "));
        page.labelled(
            "   do:      ",
            &format!(
                "{}: {heat}{} {}",
                s.phase,
                s.text,
                cited(&s.source, &s.locator)
            ),
        );
    }
}

/// Its cautions, but those that an option before it told.
fn cautions(page: &mut Page, options: &[OptionOut], place: usize) {
    let o = &options[place];
    for c in &o.cautions {
        let calls = |o: &OptionOut| o.cautions.iter().any(|x| x.text == c.text);
        if options[..place].iter().any(calls) {
            continue;
        }
        let later: Vec<String> = options[place + 1..]
            .iter()
            .filter(|o| calls(o))
            .map(|o| o.rank.to_string())
            .collect();
        let also = match later.as_slice() {
            [] => String::new(),
            [one] => format!(" (holds for option {one} too)"),
            [some @ .., last] => format!(" (holds for options {} and {last} too)", some.join(", ")),
        };
        let label = match c.severity {
            Severity::Stop => "   STOP:    ",
            Severity::Watch => "   watch:   ",
            Severity::Info => "   note:    ",
        };
        page.marked(
            c.severity,
            label,
            &format!("{}{also} {}", c.text, cited(&c.source, &c.locator)),
        );
    }
}

/// What is weighed, and what makes up the batch.
fn weigh(page: &mut Page, o: &OptionOut) {
    if !o.formula.is_empty() {
        let weigh: Vec<String> = o
            .formula
            .iter()
            .map(|a| format!("{} {}", a.name, weighed(a.grams)))
            .collect();
        page.labelled("   weigh:   ", &weigh.join(", "));
        if let (false, [made_up]) = (o.jobs.is_empty(), o.balanced.as_slice()) {
            let batch: f64 = o.formula.iter().map(|a| a.grams).sum();
            page.labelled(
                "   batch:   ",
                &format!(
                    "{} g as before, made up with {}",
                    weighed(batch),
                    made_up.name
                ),
            );
        }
    }
}

fn signed(grams: f64) -> String {
    if grams >= 0.0 {
        format!("+{}", weighed(grams))
    } else {
        format!("-{}", weighed(-grams))
    }
}

fn dial_line(page: &mut Page, o: &OptionOut, dial: Dial, always: bool) {
    let changed = o
        .changed
        .iter()
        .find(|c| c.property == dial.id())
        .map(|c| (c.before, c.after, c.asked));
    let kept = o
        .kept
        .iter()
        .find(|k| k.property == dial.id())
        .map(|k| (k.before, k.after, k.asked));
    let Some((before, after, asked)) = changed
        .or(kept)
        .or_else(|| always.then(|| figures(o, dial)).flatten())
    else {
        return;
    };
    let arrow = match changed {
        Some((b, a, _)) if a > b => "up",
        Some(_) => "down",
        None if asked => "kept",
        None => "",
    };
    let mark = if asked { " (asked)" } else { "" };
    let cost = o.after.as_ref().and_then(|a| a.cost.as_ref());
    let unit = match (dial, cost) {
        (Dial::Price, Some(cost)) => cost.unit.as_str(),
        _ => dial.unit(),
    };
    page.line(&format!(
        "   {}{}{}  {} {arrow}{mark}",
        pad(dial.name(), 24),
        right(&number(dial, before), 9),
        right(&number(dial, after), 9),
        pad(unit, 4)
    ));
}

fn figures(o: &OptionOut, dial: Dial) -> Option<(f64, f64, bool)> {
    let (b, a) = (o.before.as_ref()?, o.after.as_ref()?);
    let read = |x: &crate::answer::Assessment| match dial {
        Dial::Sweetness => Some(x.sweetness_percent),
        Dial::FreezingPoint => x.freezing_point_celsius,
        Dial::FrozenAt18 => x
            .frozen_water
            .iter()
            .find(|f| f.celsius == -18.0)
            .map(|f| f.percent),
        Dial::FrozenAt12 => x
            .frozen_water
            .iter()
            .find(|f| f.celsius == -12.0)
            .map(|f| f.percent),
        Dial::TotalSolids => Some(x.composition.total_solids_percent),
        Dial::Fat => Some(x.composition.fat_percent),
        _ => None,
    };
    Some((read(b)?, read(a)?, false))
}

/// `total solids 31.2 to 36.0 %`.
fn moved(change: &ChangedOut) -> Option<String> {
    let dial = Dial::parse(&change.property)?;
    Some(format!(
        "{} {:.1} to {:.1} {}",
        dial.name(),
        change.before,
        change.after,
        dial.unit()
    ))
}

/// Headings of the causes by their verdict, in the order the causes come.
fn heading(verdict: Verdict, judged: bool) -> &'static str {
    match verdict {
        Verdict::Found => "Shown by the numbers of the formula",
        Verdict::PossibleHere => "Possible with what is in it; how it was made decides",
        Verdict::Untested if judged => "No number shows these: check how it was made and kept",
        Verdict::Untested => "Possible causes",
        Verdict::NotFound => "Unlikely by the numbers",
    }
}

fn causes(page: &mut Page, causes: &[Cause]) {
    let judged = causes.iter().any(|c| c.verdict != Verdict::Untested);
    let mut last = None;
    for cause in causes {
        if last != Some(cause.verdict) {
            page.gap();
            page.head(heading(cause.verdict, judged));
            last = Some(cause.verdict);
        }
        let shown = match cause.shown_by.as_str() {
            "" => String::new(),
            by => format!(" ({by})"),
        };
        page.labelled("  - ", &format!("{}{shown}", cause.cause));
        if cause.verdict == Verdict::NotFound {
            continue;
        }
        page.labelled("    fix:  ", &cause.fix);
        let mut here: Vec<String> = vec![];
        if !cause.lacking.is_empty() {
            here.push(format!("none of this is in it: {}", cause.lacking));
        }
        if !cause.grams.is_empty() {
            let edits = cause.grams.iter();
            let edits: Vec<String> = edits
                .map(|a| format!("{} {} g", a.name, signed(a.grams)))
                .collect();
            here.push(edits.join(", "));
        }
        if !here.is_empty() {
            page.labelled("    here: ", &here.join("; instead "));
        }
        let effect: Vec<String> = cause.effect.iter().filter_map(moved).collect();
        if !effect.is_empty() {
            let partly = match cause.partly {
                true => "; this goes part of the way only",
                false => "",
            };
            page.labelled("    then: ", &format!("{}{partly}", effect.join(", ")));
        }
        page.labelled(
            "    why:  ",
            &format!("{} {}", cause.because, cited(&cause.source, &cause.locator)),
        );
    }
}
