//! Words a reading had no place for: which can be set aside and told, and which may change the
//! meaning, so that the person must be asked.

use crate::model::{Expr, Test};

use super::question::Question;
use super::sense::{Cue, Push, Sense, Unit};
use super::sentence::Sentence;

/// What happened to the words a reading did not use.
pub(super) struct Told {
    /// They do not change the meaning.
    pub set_aside: Vec<String>,
    /// They could.
    pub left_over: Vec<String>,
}

impl Told {
    /// Sorts the unused words of a sentence read as `question`.
    pub fn of(sentence: &Sentence, question: &Question) -> Told {
        let mut told = Told {
            set_aside: vec![],
            left_over: vec![],
        };
        for (at, piece) in sentence.pieces.iter().enumerate() {
            if piece.used {
                continue;
            }
            let text = piece.text.clone();
            if piece.senses.is_empty() {
                if unknown_matters(sentence, at, question) {
                    told.left_over.push(text);
                } else {
                    told.set_aside.push(text);
                }
            } else if piece.senses.contains(&Sense::Filler(true)) {
                if asked_itself(sentence, at, question) {
                    told.left_over.push(text);
                } else {
                    told.set_aside.push(text);
                }
            } else if !piece.senses.iter().any(harmless) {
                if known_matters(sentence, at, question) {
                    told.left_over.push(text);
                } else {
                    told.set_aside.push(text);
                }
            }
        }
        told
    }
}

/// Whether a word of daily life is what the text asks about, and what it names only says of what:
/// `opening hours of the mill`, `translate vanilla`, `gums that hydrate cold and sing`.
fn asked_itself(sentence: &Sentence, at: usize, question: &Question) -> bool {
    let spoken = |n: usize| !fills(sentence, n) || unknown(sentence, n);
    let aside = |n: usize| means(sentence, n, |s| *s == Sense::Filler(true));
    match question {
        Question::Lookup {
            properties,
            allergens,
            ..
        } => {
            let bare = properties.is_empty() && allergens.is_empty();
            let first = (0..at).all(|n| fills(sentence, n));
            let told =
                (0..sentence.len()).any(|n| sentence.cues(n).any(|cue| ASKING.contains(&cue)));
            let next = (at + 1..sentence.len()).find(|&n| spoken(n) || aside(n));
            let of = next.is_some_and(|n| sentence.is(n, Cue::Of));
            bare && first && (of || !told)
        }
        Question::Search { .. } => {
            let joined = at.checked_sub(1).is_some_and(|n| sentence.is(n, Cue::And));
            let verb = (at + 1..sentence.len()).all(|n| !spoken(n));
            joined && verb
        }
        _ => false,
    }
}

/// Words that ask for what is known of a thing.
const ASKING: [Cue; 6] = [
    Cue::Lookup,
    Cue::Is,
    Cue::Find,
    Cue::HowTo,
    Cue::Why,
    Cue::Temperature,
];

/// A word that asks for another kind of question than the one read.
pub(super) fn unheeded(sentence: &Sentence, question: &Question) -> Option<String> {
    let asks_other = |at: &usize| {
        sentence.cues(*at).count() == 1
            && sentence.cues(*at).any(|cue| match cue {
                Cue::Compare => {
                    // `how does it compare`: nothing else is named.
                    let last = follower(sentence, *at).is_none() && named(sentence) < 2;
                    // `compare the sugars by sweetness` ranks a kind.
                    let kind = matches!(question, Question::Search { .. }) && named(sentence) == 0;
                    // `is E 415 the same as xanthan`: two names of one thing.
                    let same = named(sentence) > 1
                        && matches!(question, Question::Lookup { ingredients, .. } if ingredients.len() == 1);
                    !matches!(question, Question::Compare { .. }) && !last && !kind && !same
                }
                Cue::Swap | Cue::Replace | Cue::ReplacedBy | Cue::Substitute | Cue::Instead => {
                    !matches!(question, Question::Swap { .. } | Question::Diagnose { .. })
                }
                Cue::Scale => !matches!(question, Question::Adjust { .. }),
                // `why does it taste of cardboard`: no step answers that.
                // `can I give honey ice cream to a baby`: no step answers that either.
                Cue::Why | Cue::Frail => matches!(question, Question::HowTo { .. }),
                Cue::Add => {
                    matches!(question, Question::Search { .. } | Question::Compare { .. })
                }
                _ => false,
            })
    };
    let at = (0..sentence.len()).find(asks_other)?;
    Some(sentence.pieces[at].text.clone())
}

/// How many ingredients are named.
fn named(sentence: &Sentence) -> usize {
    (0..sentence.len())
        .filter(|&at| means(sentence, at, |s| matches!(s, Sense::Ingredient(_))))
        .count()
}

/// Words that shape the question and need not be used up themselves.
fn harmless(sense: &Sense) -> bool {
    match sense {
        Sense::Cue(cue) => !matches!(
            cue,
            Cue::Allergy
                | Cue::Without
                | Cue::Free
                | Cue::Contains
                | Cue::Not
                | Cue::Only
                | Cue::Shelf
        ),
        Sense::Filler(_) | Sense::Sign(_) | Sense::New => true,
        _ => false,
    }
}

/// Whether the phrase can mean this, used or not.
fn means(sentence: &Sentence, at: usize, accept: impl Fn(&Sense) -> bool) -> bool {
    sentence
        .pieces
        .get(at)
        .is_some_and(|piece| piece.senses.iter().any(accept))
}

fn thing(sense: &Sense) -> bool {
    matches!(
        sense,
        Sense::Ingredient(_) | Sense::Group(..) | Sense::Allergen(..)
    )
}

fn fills(sentence: &Sentence, at: usize) -> bool {
    means(sentence, at, |s| matches!(s, Sense::Filler(_)))
}

fn unknown(sentence: &Sentence, at: usize) -> bool {
    sentence.pieces[at].senses.is_empty()
}

/// Whether the question tells of allergens: `safe for someone with an almond allergy` is answered by
/// what is stated of almond, with the caution that no statement makes a food safe.
fn answers_for_whom(question: &Question) -> bool {
    let of = |condition: &Expr| {
        let mut found = false;
        condition.visit(&mut |test| {
            found |= matches!(test, Test::FreeOf(..) | Test::Contains(..));
        });
        found
    };
    match question {
        Question::Lookup {
            properties,
            allergens,
            ..
        } => !allergens.is_empty() || properties.iter().any(|p| p == "gluten"),
        Question::Search { condition, .. } => of(condition),
        _ => false,
    }
}

/// The place of the word that leads the phrase an unknown word stands in.
fn lead(sentence: &Sentence, at: usize) -> Option<usize> {
    (0..at)
        .rev()
        .find(|&n| !fills(sentence, n) && !unknown(sentence, n))
}

/// The place of the word that ends the phrase an unknown word stands in.
fn follower(sentence: &Sentence, at: usize) -> Option<usize> {
    (at + 1..sentence.len()).find(|&n| !fills(sentence, n) && !unknown(sentence, n))
}

/// How warm something is: the steps say at what temperature each is done.
const WARMTH: [&str; 10] = [
    "cold", "ice-cold", "chilled", "cool", "tepid", "lukewarm", "warm", "hot", "boiling", "warmed",
];

/// Words that ask whether something can hurt.
const SAFETY: [&str; 4] = ["safe", "safely", "safety", "unsafe"];

/// Whether a word asks whether something can hurt: such a word is never set aside.
pub(in crate::query) fn asks_of_safety(word: &str) -> bool {
    SAFETY.contains(&word.to_lowercase().as_str())
}

/// Whether a word nobody taught the tool may change what is asked.
fn unknown_matters(sentence: &Sentence, at: usize, question: &Question) -> bool {
    let word = sentence.pieces[at].text.to_lowercase();
    if word == "safe" && answers_for_whom(question) {
        return false;
    }
    if asks_of_safety(&word) || word.chars().any(|c| c.is_ascii_digit()) || word.ends_with("free") {
        return true;
    }
    if sentence.is(at + 1, Cue::Free) || sentence.is(at + 1, Cue::Allergy) {
        return true;
    }
    if WARMTH.contains(&word.as_str()) && matches!(question, Question::HowTo { .. }) {
        return false;
    }
    // `linearly`, `evenly`: how it is done.
    if word.len() > 4 && word.ends_with("ly") {
        return false;
    }
    // `arrowroot clearer than potato starch`: all that is known is compared.
    let comparative = word.ends_with("er") && sentence.is(at + 1, Cue::Than);
    if comparative && matches!(question, Question::Compare { .. }) {
        return false;
    }
    let lead = lead(sentence, at);
    let led_by = |cues: &[Cue]| lead.is_some_and(|n| cues.iter().any(|cue| sentence.is(n, *cue)));
    if led_by(&[
        Cue::Without,
        Cue::Remove,
        Cue::Not,
        Cue::Contains,
        Cue::Only,
        Cue::Allergy,
        Cue::Add,
    ]) {
        return true;
    }
    let next_is_dish = follower(sentence, at).is_some_and(|n| {
        means(sentence, n, |s| matches!(s, Sense::Dish(_)))
            && (at + 1..n).all(|m| unknown(sentence, m))
    });
    // `in rice crisp squares`, `for toddlers`
    let subordinate = led_by(&[Cue::In, Cue::At, Cue::As]) || purpose(sentence, lead);
    // `coconut nectar`, `beet sugar`: one name with what stands beside it.
    let beside = |n: usize| means(sentence, n, thing);
    // `gums thicken` is no compound: a thing in the plural does what follows.
    let several = |n: usize| sentence.pieces[n].text.ends_with('s');
    let compound = beside(at + 1) || at.checked_sub(1).is_some_and(|n| beside(n) && !several(n));
    // `butter and ghee`
    let listed = led_by(&[Cue::And, Cue::Or, Cue::Compare])
        && lead
            .and_then(|n| n.checked_sub(1))
            .is_some_and(|n| means(sentence, n, thing));
    match question {
        // What else is said of a fault does not narrow its causes.
        Question::Diagnose { .. } => {
            // `icy and its flavour weak`: a second fault, which is not known.
            lead.is_some_and(|n| {
                let fault = |n: usize| means(sentence, n, |s| matches!(s, Sense::Symptom(..)));
                sentence.is(n, Cue::And)
                    && n > 0
                    && fault(n - 1)
                    && follower(sentence, at).is_none()
            })
        }
        Question::HowTo { ingredients, .. } if ingredients.is_empty() => {
            !(subordinate || next_is_dish)
        }
        Question::Swap { .. }
        | Question::HowTo { .. }
        | Question::Adjust { .. }
        | Question::Compare { .. } => {
            let steered = led_by(&[
                Cue::Instead,
                Cue::Replace,
                Cue::ReplacedBy,
                Cue::Substitute,
                Cue::Swap,
                Cue::Lack,
                Cue::Use,
                Cue::With,
                Cue::To,
                Cue::By,
            ]);
            let destined = led_by(&[Cue::For]) && !purpose(sentence, lead) && !next_is_dish;
            listed || steered || destined || compound && !next_is_dish
        }
        Question::Assess { .. }
        | Question::Legal { .. }
        | Question::Care { .. }
        | Question::WhatIf { .. }
        | Question::Role { .. } => true,
        // `which red wine for the roast`: more is asked than where a name stands.
        Question::Search { text, .. } if !text.is_empty() => true,
        Question::Search { condition, .. } => {
            let told = !matches!(condition, Expr::Always);
            // `smoky vegan thickeners`: it tells what sort is wanted.
            let narrows = follower(sentence, at).is_some_and(|n| sentence.cues(n).next().is_none());
            listed || narrows || !(subordinate || told) || compound && !next_is_dish
        }
        Question::Lookup { .. } => {
            let asked = follower(sentence, at).is_some_and(|n| {
                sentence.is(n, Cue::Of) || sentence.is(n, Cue::In) || sentence.is(n, Cue::Is)
            });
            listed || compound || asked || !(subordinate || next_is_dish)
        }
    }
}

/// `for` that says what it is for, after what was asked: `substitute for butter for toddlers`.
fn purpose(sentence: &Sentence, lead: Option<usize>) -> bool {
    let Some(lead) = lead.filter(|&n| sentence.is(n, Cue::For)) else {
        return false;
    };
    let before = (0..lead)
        .rev()
        .find(|&n| !fills(sentence, n) && !unknown(sentence, n));
    let exchanged = |n: usize| {
        [
            Cue::Swap,
            Cue::Substitute,
            Cue::Replace,
            Cue::Instead,
            Cue::ReplacedBy,
        ]
        .iter()
        .any(|cue| sentence.is(n, *cue))
    };
    let swaps = (0..sentence.len()).any(exchanged);
    match before {
        None => false,
        // `swap butter for ghee` names what comes; `substitute for butter for ghee cakes` does not.
        Some(n) if swaps => {
            means(sentence, n, thing)
                && (0..lead).any(|m| exchanged(m) && !sentence.is(m, Cue::Swap) && m < n)
        }
        Some(_) => true,
    }
}

/// Whether a word that could govern another stands beside nothing it could: `all over`, `tell me more
/// about it`, `the whole of it`, `to boil or not`.
fn dangles(sentence: &Sentence, at: usize, question: &Question) -> bool {
    let is = |accept: fn(&Sense) -> bool| means(sentence, at, accept);
    let near = |accept: &dyn Fn(usize) -> bool| {
        let next = (at + 1..sentence.len()).find(|&n| !fills(sentence, n));
        let last = (0..at).rev().find(|&n| !fills(sentence, n));
        next.is_some_and(accept) || last.is_some_and(accept)
    };
    let figure = |n: usize| {
        means(sentence, n, |s| {
            matches!(
                s,
                Sense::Number(_) | Sense::Unit(_) | Sense::Temperature(_) | Sense::Share(..)
            )
        })
    };
    let governed = |n: usize| {
        unknown(sentence, n)
            || figure(n)
            || means(sentence, n, thing)
            || means(sentence, n, |s| {
                matches!(
                    s,
                    Sense::Property(_)
                        | Sense::Dial(..)
                        | Sense::Quality(..)
                        | Sense::Symptom(..)
                        | Sense::Trait(_)
                        | Sense::Factor(_)
                        | Sense::Push(_)
                )
            })
    };
    let last = (at + 1..sentence.len()).all(|n| fills(sentence, n) || sentence.comma(n));
    let either = sentence.is(at, Cue::Not)
        && last
        && at.checked_sub(1).is_some_and(|n| sentence.is(n, Cue::Or));
    let asked = match question {
        Question::Lookup { properties, .. } => !properties.is_empty(),
        Question::Search { order, .. } => order.is_some(),
        _ => false,
    };
    let content = sentence.is(at, Cue::Contains) && asked;
    let all = is(|s| matches!(s, Sense::Share(share, _) if *share == 1.0));
    let bound = is(|s| matches!(s, Sense::Compare(_) | Sense::Between))
        && !near(&figure)
        && !(at..sentence.len().min(at + 5)).any(figure);
    let push = is(|s| matches!(s, Sense::Push(_)))
        && !matches!(question, Question::Adjust { .. })
        && !near(&governed);
    either || content || all || bound || push
}

/// Whether the phrase names this property.
fn is_property(sentence: &Sentence, at: usize, id: Option<&str>) -> bool {
    id.is_some_and(|id| means(sentence, at, |s| matches!(s, Sense::Property(p) if p == id)))
}

/// Whether a known word that found no place may change what is asked.
fn known_matters(sentence: &Sentence, at: usize, question: &Question) -> bool {
    if sentence.is(at, Cue::Shelf) {
        return true;
    }
    if dangles(sentence, at, question) {
        return false;
    }
    let next = follower(sentence, at);
    let before_dish = next.is_some_and(|n| means(sentence, n, |s| matches!(s, Sense::Dish(_))));
    // `which chocolate contains the greatest share of cocoa butter`: what it contains is read.
    // `I wondered about macadamia paste`, `melting range = ?`: no figure follows.
    let equal = means(sentence, at, |s| {
        *s == Sense::Compare(crate::model::Comparison::Equal)
    });
    if equal && !next.is_some_and(|n| means(sentence, n, |s| matches!(s, Sense::Number(_)))) {
        return false;
    }
    if sentence.is(at, Cue::Contains) && matches!(question, Question::Diagnose { .. }) {
        // `separation in a mix containing locust bean gum`
        return false;
    }
    let heard = sentence.is(at, Cue::Contains)
        && next.is_some_and(|n| {
            sentence.pieces[n].used
                && means(sentence, n, |s| {
                    matches!(s, Sense::Superlative(..) | Sense::Compare(_))
                })
        });
    if heard {
        return false;
    }
    let negation = [
        Cue::Without,
        Cue::Not,
        Cue::Free,
        Cue::Allergy,
        Cue::Contains,
    ]
    .iter()
    .any(|cue| sentence.is(at, *cue));
    if negation {
        // `without curdling`, `does not stay smooth`: said of the fault.
        let faulty = next.is_some_and(|n| {
            means(sentence, n, |s| {
                matches!(s, Sense::Symptom(..) | Sense::Quality(..) | Sense::Phase(_))
            })
        });
        let process = matches!(question, Question::Diagnose { .. } | Question::HowTo { .. });
        // `without a batch freezer`: a tool, no ingredient.
        let tool = next.is_none()
            && sentence.is(at, Cue::Without)
            && (at + 1..sentence.len()).any(|n| means(sentence, n, |s| *s == Sense::Filler(true)));
        return !(process && faulty || tool) || means(sentence, at, thing);
    }
    let is = |accept: fn(&Sense) -> bool| means(sentence, at, accept);
    let feel = is(|s| matches!(s, Sense::Quality(..) | Sense::Symptom(..)));
    let step = is(|s| matches!(s, Sense::Phase(_) | Sense::Temperature(_)));
    let push = is(|s| matches!(s, Sense::Push(_)));
    let figure = is(|s| matches!(s, Sense::Number(_) | Sense::Unit(_) | Sense::Share(..)));
    let kind = is(|s| matches!(s, Sense::Group(..)));
    let placed = lead(sentence, at).is_some_and(|n| {
        [Cue::With, Cue::In, Cue::For]
            .iter()
            .any(|cue| sentence.is(n, *cue))
    });
    let bound = is(|s| matches!(s, Sense::Compare(_) | Sense::Between));
    // `x`, `times` beside no figure.
    let figure = figure && !is(|s| matches!(s, Sense::Filler(_)));
    match question {
        // `too thick, how do I thin it`: the fault may be the other one.
        Question::Diagnose { .. } => {
            // `what sweetener does not crystallise`: no fault is told.
            let denied = |n: usize| {
                sentence.is(n, Cue::Not)
                    && means(sentence, n + 1, |s| matches!(s, Sense::Symptom(..)))
            };
            kind && (0..sentence.len()).any(denied)
                || feel && sentence.pieces[at].text.starts_with("too ")
                || bound
                || is(|s| matches!(s, Sense::Unit(Unit::Percent)))
        }
        Question::HowTo { .. } => {
            !(feel || step || push || bound || figure || sentence.is(at, Cue::Only))
        }
        // `want a lower GI`, with nothing asked: a wish no dial answers.
        Question::Lookup { properties, .. } => {
            let asked = [
                Cue::Is,
                Cue::Lookup,
                Cue::Why,
                Cue::HowTo,
                Cue::Contains,
                Cue::Add,
            ]
            .iter()
            .any(|cue| sentence.has(*cue));
            let during = step && !properties.is_empty();
            // `say as percent`, `in mg/100`: how the value is to be shown.
            let per = |n: usize| at.checked_sub(n).map(|n| sentence.pieces[n].text.as_str());
            let shown = is(|s| matches!(s, Sense::Unit(_)))
                && !at
                    .checked_sub(1)
                    .is_some_and(|n| means(sentence, n, |s| matches!(s, Sense::Number(_))))
                || per(1) == Some("/");
            if !properties.is_empty() && (shown || sentence.is(at, Cue::Only)) {
                return false;
            }
            !(feel || push || during) || push && !asked && !properties.is_empty()
        }
        Question::Search {
            order, condition, ..
        } => {
            let by = order.as_ref().map(|order| order.by.as_str());
            // `the most potent by relative sweetness` says the figure twice.
            let mut twice = is_property(sentence, at, by);
            condition.visit(&mut |test| {
                if let Test::Number { property, .. } = test {
                    twice |= is_property(sentence, at, Some(property));
                }
            });
            // `all the nut pastes`
            let all = is(|s| matches!(s, Sense::Share(share, _) if *share == 1.0));
            !(twice
                || all
                || step && sentence.has(Cue::Find)
                || (feel && before_dish)
                || (kind && placed && sentence.has_dish()))
        }
        Question::Adjust { wish, .. } => {
            let keep = is(|s| matches!(s, Sense::Push(Push::Keep)));
            !(step || keep && !wish.goals.is_empty() || feel && before_dish)
        }
        Question::Swap { .. } => !(step || (feel || push) && before_dish),
        Question::Compare { ingredients, .. } => {
            // `put the two side by side`
            let both = |number: f64| number == ingredients.len() as f64;
            let counted = is(|s| matches!(s, Sense::Number(_)))
                && sentence.pieces[at]
                    .senses
                    .iter()
                    .any(|s| matches!(s, Sense::Number(n) if both(*n)))
                && at
                    .checked_sub(1)
                    .is_some_and(|n| sentence.pieces[n].text.to_lowercase() == "the");
            !(feel && before_dish || counted)
        }
        Question::Assess { .. }
        | Question::Legal { .. }
        | Question::Care { .. }
        | Question::WhatIf { .. }
        | Question::Role { .. } => true,
    }
}
