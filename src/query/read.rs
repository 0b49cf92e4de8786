//! A text to a question: canonical first, then in a cook's words, with everything told.

use std::mem::discriminant;

use crate::diagnostic::nearest;
use crate::model::{Catalogue, IngredientKey, fold};

use super::aside::not_judged;
use super::canonical;
use super::held::narrow;
use super::kind::{other_kinds, understand};
use super::law;
use super::leftover::{Told, unheeded};
use super::parts::{Heard, apart, parts};
use super::plain::plainly;
use super::question::{Leaver, Question, Read, Reading};
use super::scene::Scene;
use super::search::by_name;
use super::sense::{Cue, Sense};
use super::sentence::Sentence;
use super::signs::with_signs_spoken;
use super::spelling::{corrected, mere_slip};
use super::story::question_in;
use super::understood::Understood;
use super::weigh::Whole;

/// Reads a question. Nothing that could change the meaning is dropped in silence: words that
/// are not known, or that the reading has no place for, make it ask back, or are told where the text
/// tells a story around its question.
pub fn read(text: &str, catalogue: &Catalogue) -> Read {
    read_in(text, catalogue, &Scene::default())
}

/// Reads a question about a formula.
pub fn read_in(text: &str, catalogue: &Catalogue, scene: &Scene) -> Read {
    let held = scene.held;
    if let Some(question) = canonical::parse(text, catalogue) {
        return Read::One(Reading {
            question,
            assumed: vec![],
            set_aside: vec![],
            corrected: vec![],
            without: false,
            strict: false,
            served: None,
        });
    }
    let written = text;
    let text = &plainly(&with_signs_spoken(text), catalogue);
    if let Some(reading) = law::read(written, text, catalogue, held) {
        return Read::One(reading);
    }
    if let Some(parts) = with_law_apart(written, catalogue, scene) {
        return parts;
    }
    let hear = |text: &str| {
        let whole = Whole::of(text, catalogue, scene);
        let read = weighed(text, &whole, catalogue, scene);
        let read = whole.as_served(whole.of_its_kind(&read).unwrap_or(read));
        let read = match (read, whole.of_the_formula()) {
            (Read::Nothing { unknown, .. }, Some(question)) => Read::One(Reading {
                question,
                assumed: vec![],
                set_aside: unknown,
                corrected: vec![],
                without: false,
                strict: false,
                served: None,
            }),
            (read, _) => read,
        };
        let left = set_aside(&read).map_or(f64::INFINITY, |left| whole.worth(&left));
        Heard { read, left }
    };
    let whole = hear(text);
    match apart(text, &whole, catalogue, hear) {
        Some(parts) => Read::Parts(parts),
        None => whole.read,
    }
}

/// The reading of the whole or that of the kinds' grammars, whichever takes more of the text in.
fn weighed(text: &str, whole: &Whole, catalogue: &Catalogue, scene: &Scene) -> Read {
    match whole.sure().filter(|sure| sure.own()) {
        Some(own) => own.clone().read(),
        None => chosen(whole, read_by_kind(text, catalogue, scene)),
    }
}

/// The same of a text that holds one question.
fn weighed_alone(text: &str, catalogue: &Catalogue, scene: &Scene) -> Read {
    let whole = Whole::of(text, catalogue, scene);
    match whole.sure().filter(|sure| sure.own()) {
        Some(own) => own.clone().read(),
        None => chosen(&whole, (read_plainly(text, catalogue, scene.held), vec![])),
    }
}

/// Of the reading of the whole and that of the kinds' grammars, with the story it leaves out, the one that
/// takes more in.
fn chosen(whole: &Whole, (read, story): (Read, Vec<String>)) -> Read {
    if let Some(sure) = whole.sure()
        // What the grammars of the kinds ask back, or do not read at all, may be clear as a whole;
        // `rather use gelatine than agar` compares nothing.
        && (unsettled(&read) || sure.complete() && given_way(&read, &sure.reading))
    {
        return sure.clone().read();
    }
    match whole.likely() {
        Some(likely)
            if unsettled(&read)
                || whole.knows_best(likely, set_aside(&read))
                || drops_more(&read, &story, &likely.reading, whole) =>
        {
            with_parts(likely.clone().read(), read)
        }
        _ => answered_first(read, whole),
    }
}

/// What a reading leaves over, of several parts all of it; `None` where it asks back.
fn set_aside(read: &Read) -> Option<Vec<String>> {
    match read {
        Read::One(reading) => Some(reading.set_aside.clone()),
        Read::Parts(parts) => {
            let each: Option<Vec<Vec<String>>> = parts.iter().map(set_aside).collect();
            each.map(|each| each.concat())
        }
        Read::Several { .. } | Read::Nothing { .. } => None,
    }
}

/// A reading of the whole with the parts of another reading that only ask to be told something else:
/// `swap it for gellan, and how do I heat that`.
fn with_parts(whole: Read, parts: Read) -> Read {
    let (Read::One(main), Read::Parts(parts)) = (&whole, parts) else {
        return whole;
    };
    let tells = |part: &Read| {
        let Read::One(part) = part else { return false };
        let asks = matches!(
            part.question,
            Question::HowTo { .. }
                | Question::Lookup { .. }
                | Question::Compare { .. }
                | Question::Care { .. }
                | Question::Legal { .. }
        );
        asks && discriminant(&part.question) != discriminant(&main.question)
    };
    let others: Vec<Read> = parts.into_iter().filter(tells).collect();
    match others.is_empty() {
        true => whole,
        false => Read::Parts(std::iter::once(whole).chain(others).collect()),
    }
}

/// A text one sentence of which asks about law, health or keeping: that sentence, and the rest.
fn with_law_apart(written: &str, catalogue: &Catalogue, scene: &Scene) -> Option<Read> {
    let sentences: Vec<&str> = sentences(written);
    if sentences.len() < 2 {
        return None;
    }
    let law = |sentence: &&str| {
        let text = plainly(&with_signs_spoken(sentence), catalogue);
        law::read(sentence, &text, catalogue, scene.held)
    };
    let at = sentences
        .iter()
        .position(|sentence| law(sentence).is_some())?;
    let asked = Read::One(law(&sentences[at])?);
    let rest = [&sentences[..at], &sentences[at + 1..]].concat().join(" ");
    let rest = read_in(&rest, catalogue, scene);
    Some(match rest {
        Read::One(_) if at == 0 => Read::Parts(vec![asked, rest]),
        Read::One(_) => Read::Parts(vec![rest, asked]),
        _ => asked,
    })
}

/// Words a question begins with after a comma.
const OPENERS: [&str; 9] = [
    "can ",
    "may ",
    "could ",
    "is it ",
    "are they ",
    "how long ",
    "and can ",
    "and how long ",
    "and is ",
];

/// The sentences of a text, each with its sign; a question after a comma is one.
fn sentences(text: &str) -> Vec<&str> {
    let ends = text.match_indices(['?', '!', '.', '\n', ',']);
    let ends = ends.filter(|(at, sign)| {
        let rest = &text[at + sign.len()..];
        let opens = || {
            OPENERS
                .iter()
                .any(|w| rest.trim_start().to_lowercase().starts_with(w))
        };
        rest.is_empty() || rest.starts_with(char::is_whitespace) && (*sign != "," || opens())
    });
    let mut found: Vec<&str> = vec![];
    let mut from = 0;
    for (at, sign) in ends {
        found.push(&text[from..at + sign.len()]);
        from = at + sign.len();
    }
    found.push(&text[from..]);
    let said = |part: &&str| part.contains(char::is_alphanumeric);
    found.into_iter().map(str::trim).filter(said).collect()
}

/// How much more a reading must drop than another to give way to it.
const DROPPED: f64 = 1.0;

/// Whether a reading, with the story it leaves out, drops more of a text than another.
fn drops_more(read: &Read, story: &[String], other: &Reading, whole: &Whole) -> bool {
    let Read::One(reading) = read else {
        return false;
    };
    reading.question != other.question
        && whole.worth(&reading.set_aside) + whole.worth(story)
            > whole.worth(&other.set_aside) + DROPPED
}

/// A text that left one word over is answered without it, and told so, where the word does not turn the
/// meaning.
fn answered_first(read: Read, whole: &Whole) -> Read {
    match read {
        Read::Several { mut readings, .. }
            if unsettled_by_word(&readings)
                && whole.tells()
                && !whole.turns_on_unknown()
                && whole.dearest_of(&readings[0].set_aside) < whole.droppable() =>
        {
            Read::One(readings.swap_remove(0))
        }
        read => read,
    }
}

/// Whether a text came to nothing, or to a word that had to be left out.
fn unsettled(read: &Read) -> bool {
    match read {
        Read::Nothing { .. } => true,
        Read::Several { readings, .. } => unsettled_by_word(readings),
        Read::One(_) | Read::Parts(_) => false,
    }
}

/// Whether readings differ in what they make of one word.
fn unsettled_by_word(readings: &[Reading]) -> bool {
    readings.iter().any(|r| {
        let by_name = matches!(&r.question, Question::Search { text, .. } if !text.is_empty());
        by_name || r.set_aside != readings[0].set_aside
    })
}

/// Whether a reading gives way to one that takes all of the text in: where it is of another kind, or
/// takes out what the other brings in.
fn given_way(read: &Read, whole: &Reading) -> bool {
    let Read::One(reading) = read else {
        return false;
    };
    match (&reading.question, &whole.question) {
        (
            Question::Swap {
                leaver: Leaver::Ingredients(gone),
                ..
            },
            Question::Swap { newcomers, .. },
        ) => newcomers.iter().any(|id| gone.contains(id)),
        (one, other) => discriminant(one) != discriminant(other),
    }
}

/// Reads a text by the grammars of the kinds, whole, in parts, or the question within it; and the words of
/// what is told around that.
fn read_by_kind(text: &str, catalogue: &Catalogue, scene: &Scene) -> (Read, Vec<String>) {
    let held = scene.held;
    let whole = read_plainly(text, catalogue, held);
    match parts(text, &whole, catalogue, |part| {
        weighed_alone(part, catalogue, scene)
    }) {
        Some(parts) => (Read::Parts(parts), vec![]),
        None if settled(&whole) => (whole, vec![]),
        None => {
            let told = question_in(text, &whole, catalogue, |part| {
                read_plainly(part, catalogue, held)
            });
            told.unwrap_or((whole, vec![]))
        }
    }
}

/// Whether a text came to one question, and not to a fault that may only be told of.
fn settled(whole: &Read) -> bool {
    matches!(whole, Read::One(reading) if !matches!(reading.question, Question::Diagnose { .. }))
}

/// A word of more weight is believed to be meant though the reading has no use for it.
const COMMON: u32 = 5;

/// Reads one question in a cook's words.
fn read_plainly(text: &str, catalogue: &Catalogue, held: &[IngredientKey]) -> Read {
    let read = read_keeping(text, catalogue, held, &[]);
    // A correction that the reading then sets aside explained nothing: such a word is read as it
    // was typed.
    let idle: Vec<String> = match &read {
        Read::One(reading) => {
            let common = |meant: &str| {
                catalogue
                    .spelling(&fold(meant))
                    .is_some_and(|s| s.weight > COMMON)
            };
            let aside = |meant: &String| reading.set_aside.contains(meant) && !common(meant);
            let slips = reading.corrected.iter();
            slips
                .filter(|(typed, meant)| aside(meant) && !mere_slip(typed, meant))
                .map(|(typed, _)| typed.clone())
                .collect()
        }
        _ => vec![],
    };
    if idle.is_empty() {
        read
    } else {
        read_keeping(text, catalogue, held, &idle)
    }
}

/// Reads a question with slips corrected, but for the words of `kept`.
fn read_keeping(
    text: &str,
    catalogue: &Catalogue,
    held: &[IngredientKey],
    kept: &[String],
) -> Read {
    let (text, corrected) = corrected(text, catalogue, kept);
    // What a slip hid may be shorthand or a number.
    let text = match corrected.is_empty() {
        true => text,
        false => plainly(&text, catalogue),
    };
    let mut sentence = Sentence::of(&text, catalogue);
    sentence.of_formula = !held.is_empty();
    narrow(&mut sentence, held, catalogue);
    let (mut understood, mut sentence) = attempt(&sentence, catalogue);
    if let Some(Understood::One(Question::HowTo { ingredients, .. })) = &understood
        && ingredients.len() > 1
    {
        // `dissolve xylitol in chocolate`: the steps hang on the first.
        (understood, sentence) = attempt(&first_of_each_after(&sentence, Cue::In), catalogue);
    }
    if let Some(Understood::One(Question::Diagnose { .. })) = understood {
        // Causes hang little on which of its namesakes an ingredient is.
        (understood, sentence) = attempt(&first_of_each(&sentence), catalogue);
    }
    let Some(understood) = understood else {
        return nothing(&sentence, catalogue);
    };
    if let Some(read) = chosen_name(&sentence, catalogue, &corrected) {
        return read;
    }
    let reading = |question: Question| Reading {
        set_aside: Told::of(&sentence, &question).set_aside,
        question,
        assumed: cautioned(&sentence),
        corrected: corrected.clone(),
        without: sentence.without,
        strict: strictly(&sentence),
        served: None,
    };
    match understood {
        Understood::Choose { ask, questions } => Read::Several {
            ask,
            readings: questions.into_iter().map(reading).collect(),
        },
        Understood::One(question) => {
            let told = Told::of(&sentence, &question);
            let doubt = told.left_over.first().cloned();
            match doubt.or_else(|| unheeded(&sentence, &question)) {
                None => Read::One(reading(question)),
                Some(word) => {
                    let mut without = reading(question);
                    without.set_aside.extend(told.left_over.clone());
                    if shelf_of(&sentence).is_some_and(|shelf| shelf == word) {
                        return Read::Several {
                            ask: format!(
                                "no shelf is stated in own data (shelf.csv): without `{word}`?"
                            ),
                            readings: vec![without],
                        };
                    }
                    let mut readings = vec![without];
                    readings.extend(with_word(&sentence, &word, &readings[0], catalogue));
                    if readings.len() == 1 {
                        let mut named = reading(by_name(&word));
                        named.set_aside.clear();
                        named.assumed.clear();
                        readings.push(named);
                    }
                    Read::Several {
                        ask: format!(
                            "what does `{word}` mean here? it is left out of the first reading"
                        ),
                        readings,
                    }
                }
            }
        }
    }
}

/// Readings of other kinds that have a place for a word the first one left out, and leave less over.
fn with_word(
    sentence: &Sentence,
    word: &str,
    first: &Reading,
    catalogue: &Catalogue,
) -> Vec<Reading> {
    let mut found: Vec<(usize, Reading)> = vec![];
    for (question, trial) in other_kinds(sentence, catalogue) {
        let taken = (trial.pieces.iter()).any(|piece| piece.text == word && piece.used);
        let told = Told::of(&trial, &question);
        if !taken || unheeded(&trial, &question).is_some() || question == first.question {
            continue;
        }
        let left = told.left_over.len();
        let reading = Reading {
            question,
            assumed: cautioned(&trial),
            set_aside: [told.set_aside, told.left_over].concat(),
            corrected: first.corrected.clone(),
            without: trial.without,
            strict: first.strict,
            served: None,
        };
        found.push((left, reading));
    }
    found.sort_by_key(|(left, _)| *left);
    let least = found.first().map(|(left, _)| *left);
    let best = found.into_iter().filter(|(left, _)| Some(*left) == least);
    best.map(|(_, reading)| reading).take(2).collect()
}

/// What a reading takes for granted, and what it does not judge.
fn cautioned(sentence: &Sentence) -> Vec<String> {
    let mut said = sentence.assumed.clone();
    said.extend(not_judged(sentence));
    said
}

/// Whether an allergy or an illness is told of, or the word is strict.
fn strictly(sentence: &Sentence) -> bool {
    (0..sentence.len()).any(|at| {
        // `allergic to` leads what must go as `without` does, and says why.
        let allergic = sentence.pieces[at].text.to_lowercase().contains("allerg");
        sentence.is(at, Cue::Strict) || sentence.is(at, Cue::Allergy) || allergic
    })
}

/// The words that name the own shelf.
fn shelf_of(sentence: &Sentence) -> Option<String> {
    let at = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Shelf))?;
    Some(sentence.pieces[at].text.clone())
}

fn attempt(sentence: &Sentence, catalogue: &Catalogue) -> (Option<Understood>, Sentence) {
    let mut sentence = sentence.clone();
    let understood = understand(&mut sentence, catalogue);
    (understood, sentence)
}

/// The same for the names after a word alone.
fn first_of_each_after(sentence: &Sentence, cue: Cue) -> Sentence {
    let mut fresh = sentence.clone();
    fresh.pieces.iter_mut().for_each(|piece| piece.used = false);
    let led = |at: usize| fresh.before(at).is_some_and(|n| fresh.is(n, cue));
    let places: Vec<usize> = (0..fresh.len()).filter(|&at| led(at)).collect();
    let narrowed = first_of_each(&fresh);
    fresh.assumed.clear();
    for at in places {
        fresh.pieces[at] = narrowed.pieces[at].clone();
    }
    fresh
}

/// The sentence unread, with the likeliest ingredient for every name, and that told.
fn first_of_each(sentence: &Sentence) -> Sentence {
    let mut plain = sentence.clone();
    plain.assumed.clear();
    for piece in &mut plain.pieces {
        piece.used = false;
        for sense in &mut piece.senses {
            if let Sense::Ingredient(candidates) = sense
                && candidates.ids.len() > 1
            {
                candidates.assumed = format!(
                    "`{}` is taken as {}; it can also be {}",
                    piece.text,
                    candidates.ids[0].replace('-', " "),
                    candidates.ids[1].replace('-', " ")
                );
                candidates.ids.truncate(1);
            }
        }
    }
    plain
}

/// Where a name that was used stands for several ingredients: one reading for each.
fn chosen_name(
    sentence: &Sentence,
    catalogue: &Catalogue,
    corrected: &[(String, String)],
) -> Option<Read> {
    let choice = |s: &Sense| match s {
        Sense::Ingredient(candidates) if candidates.ids.len() > 1 => Some(candidates.clone()),
        _ => None,
    };
    let used_as_name = |at: usize| {
        let piece = &sentence.pieces[at];
        let candidates = piece.senses.iter().find_map(choice)?;
        (piece.used && taken_by_name(sentence, catalogue, at, &candidates.ids))
            .then_some(candidates)
    };
    let (at, candidates) = (0..sentence.len()).find_map(|at| Some((at, used_as_name(at)?)))?;
    let mut readings = vec![];
    for id in &candidates.ids {
        let mut narrowed = sentence.clone();
        narrowed.assumed.clear();
        for piece in &mut narrowed.pieces {
            piece.used = false;
            let text = piece.text.clone();
            for sense in &mut piece.senses {
                if let Sense::Ingredient(other) = sense
                    && other.ids.len() > 1
                {
                    other.assumed = format!(
                        "`{text}` is taken as {}; it can also be {}",
                        other.ids[0].replace('-', " "),
                        other.ids[1].replace('-', " ")
                    );
                }
            }
        }
        for sense in &mut narrowed.pieces[at].senses {
            if let Sense::Ingredient(other) = sense {
                other.ids = vec![id.clone()];
                other.assumed = String::new();
            }
        }
        let (understood, narrowed) = attempt(&narrowed, catalogue);
        let question = match understood? {
            Understood::One(question) => question,
            Understood::Choose { questions, .. } => questions.into_iter().next()?,
        };
        let told = Told::of(&narrowed, &question);
        readings.push(Reading {
            question,
            without: narrowed.without,
            strict: strictly(sentence),
            served: None,
            assumed: cautioned(&narrowed),
            set_aside: [told.set_aside, told.left_over].concat(),
            corrected: corrected.to_vec(),
        });
    }
    Some(Read::Several {
        ask: format!(
            "which `{}`? {}",
            sentence.pieces[at].text, candidates.reason
        ),
        readings,
    })
}

/// Whether the reading hangs on which ingredient the name stands for.
fn taken_by_name(sentence: &Sentence, catalogue: &Catalogue, at: usize, ids: &[String]) -> bool {
    let with = |id: &String| {
        let mut narrowed = sentence.clone();
        narrowed
            .pieces
            .iter_mut()
            .for_each(|piece| piece.used = false);
        for sense in &mut narrowed.pieces[at].senses {
            if let Sense::Ingredient(other) = sense {
                other.ids = vec![id.clone()];
            }
        }
        attempt(&narrowed, catalogue).0
    };
    let original = {
        let mut fresh = sentence.clone();
        fresh.pieces.iter_mut().for_each(|piece| piece.used = false);
        attempt(&fresh, catalogue).0
    };
    match ids {
        // A name taken as a kind of ingredient reads otherwise once it is one ingredient.
        [first, second, ..] => with(first) == original && with(first) != with(second),
        _ => false,
    }
}

fn nothing(sentence: &Sentence, catalogue: &Catalogue) -> Read {
    let unknown: Vec<String> = sentence
        .pieces
        .iter()
        .filter(|piece| piece.senses.is_empty())
        .map(|piece| piece.text.clone())
        .collect();
    let near: Vec<&str> = unknown
        .iter()
        .filter_map(|word| near_name(&fold(word), catalogue))
        .collect();
    let property = (0..sentence.len())
        .find_map(|at| sentence.property(at))
        .and_then(|id| catalogue.property(id));
    let certified = (0..sentence.len()).find(|&at| sentence.is(at, Cue::Certified));
    if let Some(at) = certified {
        let why = format!(
            "whether something is {} is not known here; its maker must be asked",
            sentence.pieces[at].text
        );
        return Read::Nothing { why, unknown };
    }
    let why = match (unknown.is_empty(), near.is_empty(), property) {
        (false, false, _) => format!(
            "`{}` is not known; the nearest is `{}`",
            unknown.join("`, `"),
            near.join("`, `")
        ),
        (false, true, _) => format!("`{}` is not known", unknown.join("`, `")),
        (true, _, Some(property)) => format!(
            "no ingredient is named; {} means: {}",
            property.name, property.meaning
        ),
        (true, _, None) => {
            "no ingredient, property, fault or goal is named; name one, such as `agar`".to_string()
        }
    };
    Read::Nothing { why, unknown }
}

/// The name nearest to a word, among those that begin alike: a slip seldom hits the first letter.
fn near_name<'a>(word: &str, catalogue: &'a Catalogue) -> Option<&'a str> {
    let alike = |name: &&str| {
        name.chars().next() == word.chars().next() && name.len().abs_diff(word.len()) <= 3
    };
    nearest(word, catalogue.names().map(|(name, _)| name).filter(alike))
}
