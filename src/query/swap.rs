//! `agar instead of gelatin`, `substitute for butter`: who goes and who comes.

use crate::condition;
use crate::model::{Catalogue, Expr, Test, Wish};

use super::amount::{Quantity, quantity};
use super::clause::{chosen, joined};
use super::dish::{dish, flavour};
use super::lack::{lacked_before, offered, only_had};
use super::loose::{beyond, loose_amount, tell_what_it_does};
use super::question::{Amount, Leaver, Question};
use super::sense::{Cue, Sense};
use super::sentence::Sentence;
use super::understood::Understood;
use super::wish::wish;

/// A thing named in a swap.
#[derive(Debug, Clone, PartialEq)]
enum Noun {
    Ingredient(String),
    Kind(String),
}

/// Which list the next noun belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Slot {
    /// Not said yet.
    Free,
    /// After `substitute`: what follows decides.
    Open,
    Leaver,
    Newcomer,
}

/// The nouns of a swap by the part they play.
#[derive(Debug, Default)]
struct Cast {
    free: Vec<Noun>,
    open: Vec<Noun>,
    leavers: Vec<Noun>,
    newcomers: Vec<Noun>,
    /// Amounts and the nouns they were said of.
    amounts: Vec<(Noun, Quantity)>,
    /// Whether what goes is said to be lacking.
    lacking: bool,
    /// Whether two of what goes stood apart, so that one of them may be meant for something else.
    apart: bool,
    /// Whether the newcomers stood before the verb and may be meant to go after all.
    early: bool,
}

impl Cast {
    /// What stood before `replaces` or `instead of` comes in.
    fn bring_free(&mut self) {
        self.early |= !self.free.is_empty();
        self.newcomers.append(&mut self.free);
    }

    fn list(&mut self, slot: Slot) -> &mut Vec<Noun> {
        match slot {
            Slot::Free => &mut self.free,
            Slot::Open => &mut self.open,
            Slot::Leaver => &mut self.leavers,
            Slot::Newcomer => &mut self.newcomers,
        }
    }
}

/// Reads a swap whose leaver is named.
pub(super) fn named(sentence: &mut Sentence, catalogue: &Catalogue) -> Option<Understood> {
    flavour(sentence);
    let wish = wish(sentence, catalogue)?;
    let dish = dish(sentence);
    let cast = cast(sentence, catalogue);
    tell_what_it_does(sentence);
    for at in 0..sentence.len() {
        // `xylitol instead of sugar in dark chocolate`
        let place = inside(sentence, at);
        if place && sentence.ingredient(at).is_some_and(|c| c.ids.len() == 1) {
            let text = sentence.pieces[at].text.clone();
            sentence.assume(&format!("what `{text}` does to the swap is not worked out"));
            sentence.take(at);
        }
    }
    for at in 0..sentence.len() {
        // `how much agar replaces gelatin`: a swap is always answered in grams.
        if sentence.property(at) == Some("use_level") {
            sentence.take(at);
        }
    }
    build(sentence, catalogue, cast, wish, dish)
}

fn noun(sentence: &Sentence, at: usize) -> Option<(Noun, String)> {
    // `which starch could I use`: any of the kind.
    let several = sentence.ingredient(at).is_none_or(|c| c.ids.len() > 1);
    let lead = (0..at).rev().find(|&n| !sentence.pieces[n].used);
    let asked = lead.is_some_and(|n| {
        let text = sentence.pieces[n].text.to_lowercase();
        [
            "what",
            "which",
            "what other",
            "which other",
            "some other",
            "another",
        ]
        .contains(&text.as_str())
    });
    let open = asked || several && at > 0 && sentence.is(at - 1, Cue::Find);
    if let Some((condition, assumed)) = sentence.group(at).filter(|_| open) {
        return Some((Noun::Kind(condition.to_string()), assumed.to_string()));
    }
    if let Some((id, assumed)) = chosen(sentence, at) {
        return Some((Noun::Ingredient(id), assumed));
    }
    if let Some((substances, assumed)) = sentence.allergen(at) {
        let parts: Vec<String> = substances
            .iter()
            .map(|s| format!("contains {}", s.replace(' ', "_")))
            .collect();
        return Some((Noun::Kind(parts.join(" or ")), assumed.to_string()));
    }
    let (condition, assumed) = sentence.group(at)?;
    Some((Noun::Kind(condition.to_string()), assumed.to_string()))
}

/// `arrowroot used as cornstarch`: what stands after `as` is what goes.
pub(super) fn used_as(sentence: &Sentence, at: usize) -> bool {
    let used = at > 0 && sentence.is(at - 1, Cue::Use);
    let named = at > 0 && (0..at - 1).any(|n| sentence.is(n, Cue::Use));
    let thing = at > 0
        && sentence.pieces[at - 1]
            .senses
            .iter()
            .any(|s| matches!(s, Sense::Ingredient(_)));
    let both = sentence.is(at, Cue::Use);
    sentence.is(at, Cue::As)
        && (both || used || named && thing)
        && sentence
            .ingredient(sentence.after(at + 1))
            .is_some_and(|c| c.ids.len() == 1)
        && (0..at).any(|n| sentence.ingredient(n).is_some() || sentence.pieces[n].used)
}

/// `in dark chocolate`: right after `in`, but for what fills.
fn inside(sentence: &Sentence, at: usize) -> bool {
    sentence_before(sentence, at).is_some_and(|n| sentence.is(n, Cue::In))
}

/// `cream by coconut cream`: a thing on either side.
pub(super) fn exchanged_by(sentence: &Sentence, at: usize) -> bool {
    sentence.is(at, Cue::By)
        && names(sentence, sentence_before(sentence, at))
        && sentence.ingredient(sentence.after(at + 1)).is_some()
}

/// The nearest place before that does not fill, used or not.
fn sentence_before(sentence: &Sentence, at: usize) -> Option<usize> {
    (0..at).rev().find(|&n| !sentence.fills_ever(n))
}

fn names(sentence: &Sentence, at: Option<usize>) -> bool {
    let thing = |s: &Sense| matches!(s, Sense::Ingredient(_));
    at.is_some_and(|n| sentence.pieces[n].senses.iter().any(thing))
}

/// `how much salt to remove`: a consequence asked about, no part of the swap.
fn measured_after(sentence: &Sentence, at: usize) -> bool {
    let asked = (sentence.before(at)).is_some_and(|n| sentence.property(n) == Some("use_level"));
    let mut next = sentence.after(at + 1);
    while sentence.is(next, Cue::To) || sentence.is(next, Cue::Is) {
        next = sentence.after(next + 1);
    }
    asked && (sentence.is(next, Cue::Remove) || sentence.is(next, Cue::Add))
}

/// Deals the nouns to their parts by the words around them.
fn cast(sentence: &mut Sentence, catalogue: &Catalogue) -> Cast {
    let mut cast = Cast::default();
    let mut slot = Slot::Free;
    let mut last = None;
    let mut at = 0;
    while at < sentence.len() {
        if sentence.pieces[at].used {
            at += 1;
            continue;
        }
        // `instead of sugar in candied fruit`: what stands after `in` is neither of the two.
        let place = inside(sentence, at);
        if let Some((noun, assumed)) = noun(sentence, at).filter(|_| !place) {
            if measured_after(sentence, at) && !cast.leavers.is_empty() {
                let text = sentence.pieces[at].text.clone();
                sentence.assume(&format!("how far the {text} moves is for the swap to say"));
                sentence.take(at);
                at += 1;
                continue;
            }
            let id = match &noun {
                Noun::Ingredient(id) => Some(id.clone()),
                Noun::Kind(_) => None,
            };
            if let Some(found) = quantity(sentence, at, id.as_deref(), catalogue) {
                cast.amounts.push((noun.clone(), found));
            }
            let text = sentence.pieces[at].text.to_lowercase();
            let open = text.starts_with("how") || at > 0 && sentence.is(at - 1, Cue::Find);
            if open && slot == Slot::Leaver && !cast.leavers.is_empty() {
                // `instead of 12 g powder how many leaves`, `if not malic then which acid`
                slot = Slot::Newcomer;
            }
            sentence.assume(&assumed);
            sentence.take(at);
            if slot == Slot::Leaver
                && let Some(first) = last
            {
                // `our cream has run out ... for heavy cream`: the one is the other, said closer.
                if let (Some(vague), Noun::Ingredient(id)) = (vague(sentence, first), &noun)
                    && vague.contains(id)
                {
                    cast.leavers
                        .retain(|n| !matches!(n, Noun::Ingredient(id) if vague.contains(id)));
                    sentence.pieces[first].senses = vec![Sense::Filler(false)];
                }
            }
            let list = cast.list(slot);
            if !list.contains(&noun) {
                list.push(noun);
                let several = list.len() > 1 && slot == Slot::Leaver;
                cast.apart |= several && last.is_some_and(|n| !listed(sentence, n, at));
            }
            last = Some(at);
            at += 1;
            continue;
        }
        slot = turn(sentence, at, slot, &mut cast);
        at += 1;
    }
    settle(&mut cast);
    cast
}

/// What a name can stand for that leaves a choice.
fn vague(sentence: &Sentence, at: usize) -> Option<Vec<String>> {
    sentence.pieces[at].senses.iter().find_map(|s| match s {
        Sense::Ingredient(candidates) if candidates.ids.len() > 1 => {
            Some([candidates.ids.clone(), candidates.namesakes.clone()].concat())
        }
        _ => None,
    })
}

/// Whether two nouns stand in one list: nothing but a joint and an amount between them.
fn listed(sentence: &Sentence, first: usize, second: usize) -> bool {
    let joint = |n: usize| {
        sentence.comma(n)
            || sentence.is(n, Cue::And)
            || sentence.is(n, Cue::Or)
            || sentence.is(n, Cue::With)
    };
    let passed = |n: usize| {
        joint(n) || sentence.fills_ever(n) || sentence.pieces[n].used || sentence.is(n, Cue::Of)
    };
    (first + 1..second).any(joint) && (first + 1..second).all(passed)
}

/// What a word between the nouns does to the parts.
fn turn(sentence: &Sentence, at: usize, slot: Slot, cast: &mut Cast) -> Slot {
    let cues: Vec<Cue> = sentence.cues(at).collect();
    let is = |cue: Cue| cues.contains(&cue);
    let it = sentence.says(at + 1, &["it", "them", "that", "this"]);
    let pointed = it && sentence.ingredient(sentence.after(at + 1)).is_none();
    if (is(Cue::Swap) || is(Cue::Replace)) && pointed && !cast.free.is_empty() {
        // `they dislike honey, swap it for agave syrup`
        cast.leavers.append(&mut cast.free);
        Slot::Leaver
    } else if is(Cue::Instead)
        || (is(Cue::Replace) && !is(Cue::Substitute))
        || used_as(sentence, at)
    {
        cast.bring_free();
        cast.newcomers.append(&mut cast.open);
        Slot::Leaver
    } else if is(Cue::ReplacedBy) {
        cast.leavers.append(&mut cast.free);
        Slot::Newcomer
    } else if is(Cue::Lacked) && slot == Slot::Free && lacked_before(sentence, at)
        || only_had(sentence, at)
    {
        // `golden syrup is sold out, use honey`
        cast.leavers.append(&mut cast.free);
        Slot::Newcomer
    } else if slot == Slot::Leaver && cast.lacking && offered(sentence, at) {
        // `no mascarpone left, ricotta ok`
        Slot::Newcomer
    } else if is(Cue::Swap) || is(Cue::Lack) {
        cast.lacking |= is(Cue::Lack);
        Slot::Leaver
    } else if is(Cue::Substitute) {
        // `agar as a substitute for gelatin` brings agar.
        let follows = sentence.after(at + 1);
        if [Cue::For, Cue::To, Cue::Of]
            .iter()
            .any(|cue| sentence.is(follows, *cue))
        {
            cast.bring_free();
            Slot::Leaver
        } else {
            Slot::Open
        }
    } else if is(Cue::Use)
        || slot == Slot::Leaver
            && !cast.leavers.is_empty()
            && (is(Cue::Have) || sentence.says(at, &["put", "i put", "we put"]))
    {
        // `out of butter, can I use oil`, `ran out of butter, got oil`
        Slot::Newcomer
    } else if is(Cue::With) || is(Cue::By) {
        match slot {
            Slot::Open => {
                cast.leavers.append(&mut cast.open);
                Slot::Newcomer
            }
            Slot::Leaver => Slot::Newcomer,
            Slot::Free if is(Cue::By) && exchanged_by(sentence, at) => {
                // `cream by coconut cream`
                cast.leavers.append(&mut cast.free);
                Slot::Newcomer
            }
            _ => slot,
        }
    } else if is(Cue::To) && acts(sentence, sentence.after(at + 1)) {
        // `cream to use`, `an acid able to act for`
        slot
    } else if is(Cue::For) || is(Cue::To) {
        match slot {
            Slot::Open => {
                cast.newcomers.append(&mut cast.open);
                Slot::Leaver
            }
            Slot::Leaver if !cast.leavers.is_empty() => Slot::Newcomer,
            Slot::Newcomer if !cast.newcomers.is_empty() && cast.leavers.is_empty() => Slot::Leaver,
            // `half the sugar for honey`: what is measured goes.
            Slot::Free if !cast.free.is_empty() && (is(Cue::To) || !cast.amounts.is_empty()) => {
                cast.leavers.append(&mut cast.free);
                Slot::Newcomer
            }
            Slot::Free if !cast.free.is_empty() => {
                cast.newcomers.append(&mut cast.free);
                Slot::Leaver
            }
            _ => slot,
        }
    } else {
        slot
    }
}

/// Whether a word says how nouns change places.
fn acts(sentence: &Sentence, at: usize) -> bool {
    let cues = [
        Cue::Use,
        Cue::Replace,
        Cue::Substitute,
        Cue::Swap,
        Cue::Remove,
    ];
    cues.iter().any(|cue| sentence.is(at, *cue))
}

/// Nouns left without a part: beside a leaver they come in, else the last of them goes.
fn settle(cast: &mut Cast) {
    if cast.leavers.is_empty() {
        if cast.open.is_empty() && cast.free.len() == 2 && cast.newcomers.is_empty() {
            cast.leavers.push(cast.free.remove(0));
        } else if cast.open.is_empty() {
            cast.leavers.append(&mut cast.free);
        } else {
            cast.leavers.append(&mut cast.open);
        }
    }
    cast.newcomers.append(&mut cast.open);
    cast.newcomers.append(&mut cast.free);
    if cast.leavers.is_empty() && cast.early {
        // `peanut butter substitute for children`, `butter, can I replace it`
        cast.leavers.append(&mut cast.newcomers);
    }
}

fn build(
    sentence: &mut Sentence,
    catalogue: &Catalogue,
    cast: Cast,
    mut wish: Wish,
    dish: String,
) -> Option<Understood> {
    let mut kinds = vec![];
    let mut ids = vec![];
    for noun in &cast.leavers {
        match noun {
            Noun::Ingredient(id) => ids.push(id.clone()),
            Noun::Kind(condition) => kinds.push(condition.clone()),
        }
    }
    if cast.apart && kinds.is_empty() {
        // `swap the pistachio gelato ... pistachio paste`: which of them goes is not clear.
        let newcomers: Vec<String> = (cast.newcomers.iter())
            .filter_map(|noun| match noun {
                Noun::Ingredient(id) => Some(id.clone()),
                Noun::Kind(_) => None,
            })
            .collect();
        let one = |id: &String| Question::Swap {
            leaver: Leaver::Ingredients(vec![id.clone()]),
            newcomers: newcomers.clone(),
            amount: None,
            wish: wish.clone(),
            dish: dish.clone(),
        };
        return Some(Understood::Choose {
            ask: "which of these is to go?".to_string(),
            questions: ids.iter().rev().take(3).map(one).collect(),
        });
    }
    if let ([id], true) = (&ids[..], kinds.is_empty()) {
        let clauses = beyond(sentence, id, catalogue);
        wish.newcomer = both(joined(clauses, sentence, catalogue)?, wish.newcomer);
    }
    let leaver = if kinds.is_empty() && !ids.is_empty() {
        Leaver::Ingredients(ids)
    } else if kinds.is_empty() {
        return None;
    } else {
        kinds.extend(ids.iter().map(|id| format!("this is {id}")));
        Leaver::Matching(condition::parse(&kinds.join(" or "), catalogue).ok()?)
    };
    let mut newcomers = vec![];
    for noun in &cast.newcomers {
        match noun {
            // Nothing stands in for itself.
            Noun::Ingredient(_) if cast.leavers.contains(noun) => {}
            Noun::Ingredient(id) => newcomers.push(id.clone()),
            // `replace gelatin with a gum`: the newcomer must be one.
            Noun::Kind(condition) => {
                let kind = condition::parse(condition, catalogue).ok()?;
                wish.newcomer = both(kind, wish.newcomer);
            }
        }
    }
    if let (Leaver::Matching(goes), true) = (&leaver, newcomers.is_empty()) {
        let stays_out = excluded(goes);
        wish.newcomer = both(stays_out, wish.newcomer);
    }
    if (cast.amounts.iter()).any(|(noun, _)| !cast.leavers.contains(noun)) {
        sentence.assume("how much comes in is for the swap to say, not for the question");
    }
    let goes = (cast.amounts.iter()).find(|(noun, _)| cast.leavers.contains(noun));
    let (amount, missing) = match goes {
        None => (None, None),
        Some((_, Quantity::Known(amount))) => (Some(*amount), None),
        Some((_, Quantity::Volume(ml))) => (None, Some(*ml)),
    };
    let apart = amount.is_none() && missing.is_none() && cast.leavers.len() == 1;
    let amount = if apart {
        loose_amount(sentence)
    } else {
        amount
    };
    let amount = amount.filter(|a| *a != Amount::Share(1.0));
    let open = newcomers.is_empty() && matches!(leaver, Leaver::Matching(_));
    let kinds_only = |nouns: &[Noun]| {
        !nouns.is_empty() && nouns.iter().all(|noun| matches!(noun, Noun::Kind(_)))
    };
    let named = |noun: &Noun| match noun {
        Noun::Kind(condition) => condition.clone(),
        Noun::Ingredient(id) => format!("this is {id}"),
    };
    if open && kinds_only(&cast.newcomers) && dish.is_empty() && sentence.has(Cue::Instead) {
        // `fibre instead of syrup`: neither says which.
        let wanted: Vec<String> = cast.newcomers.iter().map(named).collect();
        let search = Question::Search {
            text: String::new(),
            condition: condition::parse(&wanted.join(" or "), catalogue).ok()?,
            order: None,
        };
        let swap = Question::Swap {
            leaver,
            newcomers,
            amount: None,
            wish,
            dish,
        };
        return Some(Understood::Choose {
            ask: "which of them? both words name a kind".to_string(),
            questions: vec![swap, search],
        });
    }
    let question = |amount: Option<Amount>| Question::Swap {
        leaver: leaver.clone(),
        newcomers: newcomers.clone(),
        amount,
        wish: wish.clone(),
        dish: dish.clone(),
    };
    if let Some(ml) = missing {
        sentence.assume("the weight of a spoon or cup of it is not known");
        return Some(Understood::Choose {
            ask: format!("how many grams are {ml} ml of it?"),
            questions: [1.0, 0.5]
                .iter()
                .map(|density| question(Some(Amount::Grams(ml * density))))
                .collect(),
        });
    }
    Some(Understood::One(question(amount)))
}

/// What a newcomer must be when all that meets `goes` has to go.
fn excluded(goes: &Expr) -> Expr {
    match goes {
        Expr::Test(Test::Contains(subject, allergen)) => {
            Expr::Test(Test::FreeOf(*subject, allergen.clone()))
        }
        Expr::Any(parts) => Expr::All(parts.iter().map(excluded).collect()),
        Expr::Not(part) => (**part).clone(),
        other => Expr::Not(Box::new(other.clone())),
    }
}

fn both(first: Expr, second: Expr) -> Expr {
    match (first, second) {
        (Expr::Always, other) | (other, Expr::Always) => other,
        (Expr::All(mut parts), Expr::All(more)) => {
            parts.extend(more);
            Expr::All(parts)
        }
        (Expr::All(mut parts), other) => {
            parts.push(other);
            Expr::All(parts)
        }
        (first, Expr::All(parts)) => {
            let mut all = vec![first];
            all.extend(parts);
            Expr::All(all)
        }
        (first, second) if first == second => first,
        (first, second) => Expr::All(vec![first, second]),
    }
}
