//! Two questions in one text: `is gelatin vegan and can I swap it for agar`.

use std::mem::discriminant;

use crate::model::{Catalogue, fold};

use super::lexer::{Token, TokenKind, tokens};
use super::question::{Question, Read};
use super::sense::Cue;
use super::sentence::Sentence;
use super::story::idle;

/// Words a question begins with.
const OPENERS: [&str; 19] = [
    "can", "could", "should", "how", "what", "whats", "which", "why", "when", "who", "at", "in",
    "tell", "show", "give", "replace", "swap", "compare", "find",
];

/// Verbs that begin a question where a pronoun follows or a new sentence begins: `and is it vegan`.
const VERBS: [&str; 6] = ["is", "are", "does", "do", "would", "will"];

/// Words that join two questions and belong to neither.
const JOINTS: [&str; 8] = [
    "and",
    "also",
    "plus",
    "then",
    "moreover",
    "furthermore",
    "besides",
    "additionally",
];

/// Words that stand for the thing named before.
const PRONOUNS: [&str; 4] = ["it", "them", "this", "that"];

/// Whom a question can be asked of beside those.
const PERSONS: [&str; 4] = ["i", "we", "you", "there"];

/// Fewer words make no question.
const FEWEST: usize = 2;

/// Places a text is cut at, and pronouns filled in; nobody asks for more at once.
const MOST: usize = 8;

/// Whether a token joins two questions and belongs to neither.
fn joins(text: &str, token: &Token) -> bool {
    let written = &text[token.start..token.end];
    match token.kind {
        TokenKind::Word => JOINTS.contains(&fold(written).as_str()),
        TokenKind::Sign => matches!(written, "?" | "." | ";" | "," | "!" | "&"),
        TokenKind::Number(_) => false,
    }
}

/// The text cut in two where a second question begins, with the pronouns of the second filled in;
/// one pair for each place it could be cut at.
fn cuts(text: &str, catalogue: &Catalogue) -> Vec<(String, String)> {
    let tokens = tokens(text);
    let word = |n: usize| fold(&text[tokens[n].start..tokens[n].end]);
    let is_joint = |n: usize| joins(text, &tokens[n]);
    let mut found = vec![];
    let mut at = FEWEST;
    while at < tokens.len() && found.len() < MOST {
        if !is_joint(at) {
            at += 1;
            continue;
        }
        let end = tokens[at - 1].end;
        let mut closed = false;
        while at < tokens.len() && is_joint(at) {
            closed |= matches!(&text[tokens[at].start..tokens[at].end], "?" | "." | "!");
            at += 1;
        }
        if tokens.len() - at < FEWEST {
            break;
        }
        let (opener, next) = (word(at), word(at + 1));
        let asked = PRONOUNS.contains(&next.as_str()) || PERSONS.contains(&next.as_str());
        let verb = VERBS.contains(&opener.as_str()) && (closed || asked);
        if !verb && !OPENERS.contains(&opener.as_str()) && !is_question(&text[end..]) {
            continue;
        }
        let first = text[..end].to_string();
        let second = text[tokens[at].start..].to_string();
        let second = with_pronouns_filled(&second, &first, catalogue);
        let second = with_figure_filled(second, &first, catalogue);
        found.push((first, second));
    }
    found
}

/// Whether what goes before this rest of a text was closed as a question.
fn is_question(rest: &str) -> bool {
    rest.trim_start().starts_with('?')
}

/// `iodine value of grapeseed oil; which oils lie below 20`: a bound of the figure asked for before.
fn with_figure_filled(text: String, before: &str, catalogue: &Catalogue) -> String {
    let sentence = Sentence::of(&text, catalogue);
    let any = |accept: &dyn Fn(usize) -> bool| (0..sentence.len()).any(accept);
    let bound = any(&|at| {
        sentence.comparison(at).is_some() && sentence.number(sentence.after(at + 1)).is_some()
    });
    let said = any(&|at| sentence.property(at).is_some() || sentence.unit(at).is_some());
    if !bound || said {
        return text;
    }
    let first = Sentence::of(before, catalogue);
    let figure =
        (0..first.len()).find(|&at| first.property(at).is_some() && first.ingredient(at).is_none());
    match figure {
        Some(at) => format!("{} {}", text.trim_end_matches('?'), first.pieces[at].text),
        None => text,
    }
}

/// The text with `it` replaced by the last ingredient the text before it names.
pub(super) fn with_pronouns_filled(text: &str, before: &str, catalogue: &Catalogue) -> String {
    let sentence = Sentence::of(before, catalogue);
    let place = |at: usize| sentence.before(at).is_some_and(|n| sentence.is(n, Cue::In));
    // `fat in mascarpone` speaks of mascarpone, `is soy sauce gluten free` of the sauce.
    let asked = |at: usize| {
        sentence.property(at).is_some()
            || sentence.allergen(at).is_some()
            || sentence.diet(at).is_some()
    };
    let last = |accept: &dyn Fn(usize) -> bool| {
        let mut places = (0..sentence.len()).rev();
        places.find(|&at| sentence.ingredient(at).is_some() && accept(at))
    };
    let named = last(&|at| !place(at) && !asked(at))
        .or_else(|| last(&|at| !asked(at)))
        .or_else(|| last(&|at| !place(at)))
        .map(|at| sentence.pieces[at].text.clone());
    let Some(named) = named else {
        return text.to_string();
    };
    let folded = fold(text);
    if folded.ends_with(" instead") {
        return format!("{text} of {named}");
    }
    for place in [
        "in its place",
        "in its stead",
        "in their place",
        "in their stead",
    ] {
        if let Some(offer) = folded.strip_suffix(place) {
            return format!("{offer}instead of {named}");
        }
    }
    let mut out = String::with_capacity(text.len());
    let mut end = 0;
    let names = |text: &str| {
        let sentence = Sentence::of(text, catalogue);
        (0..sentence.len()).any(|at| sentence.ingredient(at).is_some())
    };
    let tokens = tokens(text);
    let pronouns =
        (tokens.iter()).filter(|t| PRONOUNS.contains(&fold(&text[t.start..t.end]).as_str()));
    for token in pronouns.take(MOST) {
        // `we do have vodka; how much of it` speaks of what it names itself.
        if names(&text[..token.start]) {
            break;
        }
        out.push_str(&text[end..token.start]);
        out.push_str(&named);
        end = token.end;
    }
    out.push_str(&text[end..]);
    out
}

/// The questions of a text that holds two of different kinds, each understood alone; `whole` is
/// what the text comes to as one.
pub(super) fn parts(
    text: &str,
    whole: &Read,
    catalogue: &Catalogue,
    read: impl Fn(&str) -> Read,
) -> Option<Vec<Read>> {
    for (first, second) in cuts(text, catalogue) {
        let closed = is_question(&text[first.len()..]);
        let said = (first, second);
        let (first, second) = (read(&said.0), read(&said.1));
        let (Read::One(before), Read::One(after)) = (&first, &second) else {
            continue;
        };
        if !closed && idle(before, &said.0, catalogue) || idle(after, &said.1, catalogue) {
            // A sentence that only tells is no question.
            continue;
        }
        let apart = discriminant(&before.question) != discriminant(&after.question);
        // `out of butter, can I use oil`, `honey in fudge, can I replace it`: one swap.
        let named =
            matches!(&after.question, Question::Swap { newcomers, .. } if !newcomers.is_empty());
        let told = matches!(&before.question,
            Question::Lookup { properties, .. } if properties.is_empty())
            && !closed;
        let one_swap = (matches!(before.question, Question::Swap { .. }) || told && !named)
            && matches!(whole, Read::One(r) if matches!(r.question, Question::Swap { .. }));
        let fault_of_swap = matches!(whole, Read::One(r)
            if matches!(r.question, Question::Adjust { .. } | Question::Diagnose { .. }))
            && matches!(
                after.question,
                Question::Adjust { .. } | Question::Diagnose { .. }
            );
        let looked_up = matches!(before.question, Question::Lookup { .. });
        // `the chestnut cream, how much sugar is in it`: one look-up.
        let one_look = told
            && matches!(whole, Read::One(r)
                if matches!(&r.question, Question::Lookup { properties, .. } if !properties.is_empty()));
        // `tapioca or potato starch, which swells first`: one comparison.
        let sided = |read: &Question| matches!(read, Question::Compare { .. });
        let one_side = sided(&before.question)
            && !matches!(after.question, Question::Lookup { .. })
            && !closed
            && matches!(whole, Read::One(r) if sided(&r.question));
        if one_look || one_side {
            continue;
        }
        let unread = !matches!(whole, Read::One(_)) && (apart || looked_up);
        if unread || apart && !one_swap && !fault_of_swap {
            return Some(vec![first, second]);
        }
    }
    None
}

/// A question read with what it leaves over, and what that is worth.
pub(super) struct Heard {
    pub read: Read,
    pub left: f64,
}

/// What is left over must be worth so much for a text to be taken apart: a thing, a figure or a wish.
const LOST: f64 = 3.0;
/// Fewer tokens make no part.
const LEAST: usize = 3;
/// What a part that wants something told may leave over.
const TOLD: f64 = 1.0;
/// How much less the parts must leave over than the whole.
const GAIN: f64 = 2.0;

/// The two questions of a text of which one reading takes in only one: the cut whose parts leave least
/// over; `None` where the whole leaves nothing of weight over, or no cut does better.
pub(super) fn apart(
    text: &str,
    whole: &Heard,
    catalogue: &Catalogue,
    read: impl Fn(&str) -> Heard,
) -> Option<Vec<Read>> {
    if whole.left < LOST || matches!(whole.read, Read::Parts(_)) {
        return None;
    }
    let mut best: Option<(f64, Vec<Read>)> = None;
    for (first, second, closed) in halves(text) {
        let before = read(first);
        let Read::One(one) = &before.read else {
            continue;
        };
        let filled = with_pronouns_filled(second, first, catalogue);
        let after = match filled == second {
            true => read(second),
            false => {
                let (plain, filled) = (read(second), read(&filled));
                match filled.left <= plain.left && matches!(filled.read, Read::One(_)) {
                    true => filled,
                    false => plain,
                }
            }
        };
        let Read::One(other) = &after.read else {
            continue;
        };
        let left = before.left + after.left;
        let ends = (second.trim_end().ends_with('?'), closed);
        let tells = |part: &Heard, question: &Question| {
            let (text, closed) = match question == &one.question {
                true => (first, ends.1),
                false => (second, ends.0),
            };
            part.left <= TOLD && told(question) && (closed || opens(text))
        };
        let two = discriminant(&one.question) != discriminant(&other.question)
            && match (done(&one.question), done(&other.question)) {
                (true, false) => tells(&after, &other.question),
                (false, true) => tells(&before, &one.question),
                (false, false) => tells(&before, &one.question) && tells(&after, &other.question),
                (true, true) => false,
            };
        let better = best.as_ref().is_none_or(|(least, _)| left < *least);
        if two && better && left + GAIN <= whole.left {
            best = Some((left, vec![before.read, after.read]));
        }
    }
    best.map(|(_, parts)| parts)
}

/// Whether a question wants something done to the formula.
fn done(question: &Question) -> bool {
    matches!(
        question,
        Question::Swap { .. } | Question::Adjust { .. } | Question::Diagnose { .. }
    )
}

/// Whether a question wants something told: a name alone is none, nor is a kind of things.
fn told(question: &Question) -> bool {
    match question {
        Question::Lookup {
            properties,
            allergens,
            ..
        } => !properties.is_empty() || !allergens.is_empty(),
        Question::HowTo { .. }
        | Question::Compare { .. }
        | Question::Assess { .. }
        | Question::Role { .. }
        | Question::Care { .. }
        | Question::Legal { .. } => true,
        _ => false,
    }
}

/// Whether a text begins as a question does.
fn opens(text: &str) -> bool {
    let words = fold(text);
    let first = words.split_whitespace().next().unwrap_or("");
    OPENERS.contains(&first) || VERBS.contains(&first)
}

/// The text cut in two at each sign or joint with enough words on both sides, and whether the first of the
/// two ends as a question does.
fn halves(text: &str) -> Vec<(&str, &str, bool)> {
    let tokens = tokens(text);
    let word = |n: usize| &text[tokens[n].start..tokens[n].end];
    let joint = |n: usize| joins(text, &tokens[n]);
    let mut found = vec![];
    let mut at = LEAST;
    while at + LEAST <= tokens.len() && found.len() < MOST {
        if !joint(at) {
            at += 1;
            continue;
        }
        let (sign, end) = (at, tokens[at].start);
        while at < tokens.len() && joint(at) {
            at += 1;
        }
        if at + LEAST <= tokens.len() {
            let closed = word(sign).starts_with('?');
            found.push((text[..end].trim_end(), &text[tokens[at].start..], closed));
        }
    }
    found
}
