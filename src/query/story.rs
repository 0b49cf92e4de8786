//! What is told around a question: `My aunt swears by panela. How sweet is it?` The question is read
//! alone where nothing that is told beside it could change the answer.

use crate::model::{Catalogue, Expr, Test, fold};

use super::aside::not_judged;
use super::parts::with_pronouns_filled;
use super::question::{Question, Read, Reading};
use super::sense::{Cue, Sense};
use super::sentence::{Piece, Sentence};

/// Clauses looked at; a longer text is no question.
const MOST: usize = 8;

/// A stretch of the text between two marks, in bytes.
#[derive(Debug, Clone, Copy)]
struct Clause {
    start: usize,
    end: usize,
    /// Whether it is closed by a question mark.
    asks: bool,
    /// Whether what closes it ends a sentence.
    full: bool,
}

/// The question within a text that does not come to one as it stands: the longest run of clauses
/// that does, where the rest only tells; and the words of the rest.
pub(super) fn question_in(
    text: &str,
    whole: &Read,
    catalogue: &Catalogue,
    read: impl Fn(&str) -> Read,
) -> Option<(Read, Vec<String>)> {
    let clauses = clauses(text);
    if clauses.len() < 2 || clauses.len() > MOST {
        return None;
    }
    for run in runs(&clauses, whole) {
        let (first, last) = (clauses[run.0], clauses[run.1]);
        let asked = &text[first.start..last.end];
        let asked = with_pronouns_filled(asked, &text[..first.start], catalogue);
        let Read::One(mut reading) = read(&asked) else {
            continue;
        };
        let rest = [&text[..first.start], &text[last.end..]];
        let (before, after) = (&clauses[..run.0], &clauses[run.1 + 1..]);
        let apart = [before.last().is_none_or(|c| c.full), last.full];
        let asking = [before, after].map(|told| told.iter().any(|c| c.asks));
        let named = names_its_own(&reading.question);
        let only_told = (0..2).all(|n| {
            let told = Told {
                sentence: apart[n] && !asking[n],
                leads: n == 0,
                elsewhere: named && apart[n] && !asking[n],
            };
            tells(rest[n], &asked, told, catalogue)
        });
        if !only_told || idle(&reading, &asked, catalogue) {
            continue;
        }
        let told: Vec<String> = (rest.iter())
            .map(|told| told.trim_matches(|c: char| c.is_whitespace() || ",;:–—-".contains(c)))
            .filter(|told| told.chars().any(char::is_alphanumeric))
            .map(|told| format!("`{told}`"))
            .collect();
        let words = rest.iter().flat_map(|told| told.split_whitespace());
        let word = |word: &str| fold(word.trim_matches(|c: char| !c.is_alphanumeric()));
        let words: Vec<String> = words.map(word).collect();
        let care = rest.map(|told| not_judged(&Sentence::of(told, catalogue)));
        reading.assumed.extend(care.into_iter().flatten());
        if !told.is_empty() {
            let told = told.join(" and ");
            reading.assumed.push(format!(
                "{told} is told around the question and does not narrow it"
            ));
        }
        return Some((Read::One(reading), words));
    }
    None
}

/// Whether a reading asks for nothing in particular, as a few words cut out of a story do.
pub(super) fn idle(reading: &Reading, asked: &str, catalogue: &Catalogue) -> bool {
    let sentence = Sentence::of(asked, catalogue);
    match &reading.question {
        Question::Lookup {
            properties,
            allergens,
            ..
        } => properties.is_empty() && allergens.is_empty() && !sentence.has(Cue::Lookup),
        Question::HowTo { phase, .. } => phase.is_empty() && !sentence.has(Cue::HowTo),
        Question::Search {
            condition, order, ..
        } => {
            let kind = matches!(condition, Expr::Test(Test::Is(..)));
            let asks = sentence.has(Cue::Find) || asked.trim_end().ends_with('?');
            kind && order.is_none() && !asks
        }
        Question::Diagnose {
            dish, ingredients, ..
        } => dish.is_empty() && ingredients.is_empty() && !sentence.has(Cue::Why),
        _ => false,
    }
}

/// Runs of clauses worth reading, the longest first; of those as long, one that asks comes first.
/// A text that came to a fault gives way only to a question that is asked outright.
fn runs(clauses: &[Clause], whole: &Read) -> Vec<(usize, usize)> {
    let fault = matches!(whole, Read::One(reading)
        if matches!(reading.question, Question::Diagnose { .. }));
    let count = clauses.len();
    let mut found: Vec<(usize, usize)> = (0..count)
        .flat_map(|first| (first..count).map(move |last| (first, last)))
        .filter(|run| run.1 - run.0 + 1 < count)
        .filter(|run| !fault || run.0 == run.1 && clauses[run.1].asks)
        .collect();
    let asks = |run: &(usize, usize)| clauses[run.1].asks;
    found.sort_by_key(|run| (!asks(run), std::cmp::Reverse(run.1 - run.0)));
    found
}

/// The clauses of a text: what stands between full stops, question marks, commas, dashes, and words
/// such as `so` and `because`.
fn clauses(text: &str) -> Vec<Clause> {
    let mut found: Vec<Clause> = vec![];
    let mut start = 0;
    let mut close = |end: usize, next: usize, mark: char, start: &mut usize| {
        let (asks, full) = (mark == '?', ".?!;\n".contains(mark));
        let said = text[*start..end].chars().any(char::is_alphanumeric);
        if said {
            found.push(Clause {
                start: *start,
                end: next,
                asks,
                full,
            });
            *start = next;
        } else if let Some(before) = found.last_mut() {
            before.end = next;
            before.asks |= asks;
            before.full |= full;
            *start = next;
        }
    };
    let places: Vec<(usize, char)> = text.char_indices().collect();
    for (n, &(at, c)) in places.iter().enumerate() {
        let next = at + c.len_utf8();
        let after = places.get(n + 1).map(|(_, c)| *c);
        let parted = after.is_none_or(char::is_whitespace);
        let apart = parted && at > 0 && text[..at].ends_with(char::is_whitespace);
        match c {
            '?' => close(at, next, c, &mut start),
            '.' | '!' | ';' | ':' | ',' if parted => close(at, next, c, &mut start),
            '–' | '—' | '-' if apart => close(at, next, c, &mut start),
            '\n' => close(at, next, c, &mut start),
            _ if c.is_whitespace() && begins_clause(&text[next..]) => {
                close(at, next, c, &mut start);
            }
            _ => {}
        }
    }
    close(text.len(), text.len(), '\n', &mut start);
    found
}

/// Words that begin a clause of their own.
const OPENERS: [&str; 14] = [
    "so ",
    "but ",
    "because ",
    "since ",
    "and i ",
    "and we ",
    "and it ",
    "and now ",
    "and my ",
    "and our ",
    "and the ",
    "although ",
    "though ",
    "whereas ",
];

fn begins_clause(rest: &str) -> bool {
    let head: String = rest.chars().take(12).collect::<String>().to_lowercase();
    OPENERS.iter().any(|opener| head.starts_with(opener))
}

/// How a stretch of text stands to the question it is told beside.
#[derive(Debug, Clone, Copy)]
struct Told {
    /// It is a sentence of its own and asks nothing.
    sentence: bool,
    /// It stands before the question.
    leads: bool,
    /// What it names is another matter.
    elsewhere: bool,
}

/// Whether a question names all it is about: `of all the fruit, which has the most fibre` is answered
/// alike whatever was made before.
fn names_its_own(question: &Question) -> bool {
    match question {
        Question::Lookup { properties, .. } => !properties.is_empty(),
        Question::Compare { .. } => true,
        Question::Search { condition, .. } => {
            let mut kind = false;
            condition.visit(&mut |test| kind |= matches!(test, Test::Is(..)));
            kind
        }
        _ => false,
    }
}

/// Whether a stretch of text only tells. A sentence of its own may speak of faults, steps and figures
/// of its own; what hangs on the question by a comma, or asks something itself, may not. Neither may
/// name what the question does not, or hold a bound, a wish or an exclusion.
fn tells(told: &str, asked: &str, how: Told, catalogue: &Catalogue) -> bool {
    let told = Sentence::of(told, catalogue);
    let asked = Sentence::of(asked, catalogue);
    // `margins are killing us, take 10 % off the cost`: what leads up to the question.
    let sentence = how.sentence || how.leads && said_of_nothing(&told);
    (0..told.len()).all(|at| {
        let piece = &told.pieces[at];
        let again = asked.pieces.iter().any(|other| shares(piece, other));
        let harmless = |sense: &Sense| match sense {
            Sense::Cue(cue) => !BINDING.contains(cue),
            Sense::New | Sense::Sign(_) | Sense::Filler(_) => true,
            Sense::Unit(_) | Sense::Compare(_) | Sense::Between => false,
            Sense::Push(_) | Sense::Factor(_) | Sense::Share(..) => false,
            Sense::Ingredient(_) | Sense::Group(..) | Sense::Allergen(..) => again || how.elsewhere,
            Sense::Diet(..) | Sense::Trait(_) => again,
            _ => sentence || again,
        };
        let unknown = piece.senses.is_empty();
        unknown && sentence || piece.senses.iter().any(harmless)
    })
}

/// Fewer words before a comma are no clause, but part of the question.
const CLAUSE: usize = 3;

/// Whether a stretch of text speaks of nothing a kitchen question could be about.
fn said_of_nothing(told: &Sentence) -> bool {
    let plain = |sense: &Sense| matches!(sense, Sense::Cue(_) | Sense::Sign(_) | Sense::Filler(_));
    told.len() >= CLAUSE
        && told
            .pieces
            .iter()
            .all(|piece| piece.senses.iter().all(plain))
}

/// Words that say what must come of it, wherever they stand.
const BINDING: [Cue; 14] = [
    Cue::Without,
    Cue::Free,
    Cue::Allergy,
    Cue::Strict,
    Cue::Only,
    Cue::Shelf,
    Cue::Add,
    Cue::Lack,
    Cue::Replace,
    Cue::ReplacedBy,
    Cue::Instead,
    Cue::Substitute,
    Cue::Certified,
    Cue::Remove,
];

/// Whether two phrases can mean one thing.
fn shares(one: &Piece, other: &Piece) -> bool {
    one.senses.iter().any(|sense| match sense {
        Sense::Ingredient(candidates) => other.senses.iter().any(|s| {
            matches!(s, Sense::Ingredient(c) if c.ids.iter().any(|id| candidates.ids.contains(id)
                || candidates.namesakes.contains(id)))
        }),
        sense => other.senses.contains(sense),
    })
}
