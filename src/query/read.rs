//! A text to a question: canonical first, then in a cook's words, with everything told.

use crate::diagnostic::nearest;
use crate::model::{Catalogue, fold};

use super::canonical;
use super::kind::understand;
use super::question::{Question, Read, Reading};
use super::search::by_name;
use super::sense::{Cue, Sense};
use super::sentence::Sentence;
use super::spelling::corrected;
use super::understood::Understood;

/// Reads a question. Nothing that could change the meaning is dropped in silence: words that
/// are not known, or that the reading has no place for, make it ask back.
pub fn read(text: &str, catalogue: &Catalogue) -> Read {
    if let Some(question) = canonical::parse(text, catalogue) {
        return Read::One(Reading {
            question,
            assumed: vec![],
            set_aside: vec![],
            corrected: vec![],
        });
    }
    let (text, corrected) = corrected(text, catalogue);
    let sentence = Sentence::of(&text, catalogue);
    let (understood, sentence) = attempt(&sentence, catalogue);
    let Some(understood) = understood else {
        return nothing(&sentence, catalogue);
    };
    if let Some(read) = chosen_name(&sentence, catalogue, &corrected) {
        return read;
    }
    let told = Told::of(&sentence);
    let reading = |question: Question| Reading {
        question,
        assumed: sentence.assumed.clone(),
        set_aside: told.set_aside.clone(),
        corrected: corrected.clone(),
    };
    match understood {
        Understood::Choose { ask, questions } => Read::Several {
            ask,
            readings: questions.into_iter().map(reading).collect(),
        },
        Understood::One(question) => match told
            .left_over
            .first()
            .or(told.unheeded(&sentence, &question).as_ref())
        {
            None => Read::One(reading(question)),
            Some(word) => {
                let mut without = reading(question);
                without.set_aside.extend(told.left_over.clone());
                let mut named = reading(by_name(word));
                named.assumed.clear();
                Read::Several {
                    ask: format!(
                        "what does `{word}` mean here? it is left out of the first reading"
                    ),
                    readings: vec![without, named],
                }
            }
        },
    }
}

fn attempt(sentence: &Sentence, catalogue: &Catalogue) -> (Option<Understood>, Sentence) {
    let mut sentence = sentence.clone();
    let understood = understand(&mut sentence, catalogue);
    (understood, sentence)
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
        let told = Told::of(&narrowed);
        readings.push(Reading {
            question,
            assumed: narrowed.assumed,
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

/// What happened to the words a reading did not use.
struct Told {
    /// They do not change the meaning.
    set_aside: Vec<String>,
    /// They could.
    left_over: Vec<String>,
}

impl Told {
    /// A word that asks for another kind of question than the one read.
    fn unheeded(&self, sentence: &Sentence, question: &Question) -> Option<String> {
        let asks_other = |at: &usize| {
            sentence.cues(*at).count() == 1
                && sentence.cues(*at).any(|cue| match cue {
                    Cue::Compare => !matches!(question, Question::Compare { .. }),
                    Cue::Swap | Cue::Replace | Cue::ReplacedBy | Cue::Substitute | Cue::Instead => {
                        !matches!(question, Question::Swap { .. } | Question::Diagnose { .. })
                    }
                    Cue::Add => {
                        matches!(question, Question::Search { .. } | Question::Compare { .. })
                    }
                    _ => false,
                })
        };
        let at = (0..sentence.len()).find(asks_other)?;
        Some(sentence.pieces[at].text.clone())
    }

    fn of(sentence: &Sentence) -> Told {
        let mut told = Told {
            set_aside: vec![],
            left_over: vec![],
        };
        for piece in sentence.pieces.iter().filter(|piece| !piece.used) {
            if piece.senses.is_empty() {
                told.left_over.push(piece.text.clone());
            } else if piece.senses.contains(&Sense::Filler(true)) {
                told.set_aside.push(piece.text.clone());
            } else if !piece.senses.iter().any(harmless) {
                told.left_over.push(piece.text.clone());
            }
        }
        told
    }
}

/// Words that shape the question and need not be used up themselves.
fn harmless(sense: &Sense) -> bool {
    match sense {
        Sense::Cue(cue) => !matches!(
            cue,
            Cue::Allergy | Cue::Without | Cue::Free | Cue::Contains | Cue::Not | Cue::Only
        ),
        Sense::Filler(_) | Sense::Sign(_) | Sense::New => true,
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
