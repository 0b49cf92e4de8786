//! A text cut into known phrases, each with all its meanings, and what a reading has used.

use crate::model::{Catalogue, Comparison, Dial, fold};

use super::lexer::{Token, TokenKind, tokens};
use super::sense::{Candidates, Cue, Push, Sense, Unit};
use super::vocabulary::senses;

/// The longest phrase looked up, in tokens.
const LONGEST: usize = 8;

/// Words that only stress the next: `melts way too fast` is `melts too fast`.
const STRESS: [&str; 14] = [
    "way",
    "far",
    "really",
    "so",
    "very",
    "much",
    "rather",
    "pretty",
    "a",
    "bit",
    "quite",
    "extremely",
    "super",
    "totally",
];

/// One phrase of the text.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// As typed.
    pub text: String,
    /// Its meanings; none for a word that is not known.
    pub senses: Vec<Sense>,
    /// Whether a reading has taken it in.
    pub used: bool,
}

/// The phrases of a text in order.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sentence {
    /// The phrases.
    pub pieces: Vec<Piece>,
    /// What the reading takes for granted.
    pub assumed: Vec<String>,
    /// Whether a formula is in hand.
    pub of_formula: bool,
    /// Things are gone without.
    pub without: bool,
}

impl Sentence {
    /// Cuts a text into the longest phrases known.
    pub fn of(text: &str, catalogue: &Catalogue) -> Sentence {
        let tokens = tokens(text);
        let mut pieces = vec![];
        let mut at = 0;
        while at < tokens.len() {
            let (piece, taken) = longest(text, &tokens[at..], catalogue);
            pieces.push(piece);
            at += taken;
        }
        let sentence = Sentence {
            pieces,
            assumed: vec![],
            of_formula: false,
            without: false,
        };
        sentence
            .with_substitutes_apart(catalogue)
            .with_diets_apart(catalogue)
            .with_heads_shared(catalogue)
            .with_described_names(catalogue)
            .with_graded_names(catalogue)
            .with_names_continued(catalogue)
            .with_grades_after()
            .with_faulty_names(catalogue)
            .with_faults_of_food(catalogue)
            .with_measured_verbs()
            .with_contents_asked(catalogue)
            .with_pointers()
            .with_changes()
            .with_places_of_serving()
            .with_halves_added()
            .with_sizes_compared()
            .with_people_counted()
            .with_exchanges()
            .with_stand_ins()
            .with_rivals()
            .with_kinds_lacking()
    }

    /// The one phrase a text is, with all its meanings.
    pub fn single(text: &str, catalogue: &Catalogue) -> Piece {
        Piece {
            text: text.to_string(),
            senses: senses(&fold(text), text, catalogue),
            used: false,
        }
    }

    /// How many phrases there are.
    pub fn len(&self) -> usize {
        self.pieces.len()
    }

    /// The first meaning that `pick` accepts, of an unused phrase.
    pub fn find<'a, T>(&'a self, at: usize, pick: impl Fn(&'a Sense) -> Option<T>) -> Option<T> {
        let piece = self.pieces.get(at).filter(|piece| !piece.used)?;
        piece.senses.iter().find_map(pick)
    }

    /// The cue at a place.
    pub fn cue(&self, at: usize) -> Option<Cue> {
        self.cues(at).next()
    }

    /// All cues at a place, used or not.
    pub fn cues(&self, at: usize) -> impl Iterator<Item = Cue> {
        let senses = self.pieces.get(at).map(|p| p.senses.as_slice());
        senses.unwrap_or_default().iter().filter_map(|s| match s {
            Sense::Cue(cue) => Some(*cue),
            _ => None,
        })
    }

    /// Whether the phrase at a place can be this cue.
    pub fn is(&self, at: usize, cue: Cue) -> bool {
        self.cues(at).any(|c| c == cue)
    }

    /// Whether any phrase is this cue.
    pub fn has(&self, cue: Cue) -> bool {
        (0..self.len()).any(|at| self.is(at, cue))
    }

    /// The ingredient at a place.
    pub fn ingredient(&self, at: usize) -> Option<&Candidates> {
        self.find(at, |s| match s {
            Sense::Ingredient(candidates) => Some(candidates),
            _ => None,
        })
    }

    /// The number at a place.
    pub fn number(&self, at: usize) -> Option<f64> {
        self.find(at, |s| match s {
            Sense::Number(number) => Some(*number),
            _ => None,
        })
    }

    /// The unit at a place.
    pub fn unit(&self, at: usize) -> Option<Unit> {
        self.find(at, |s| match s {
            Sense::Unit(unit) => Some(*unit),
            _ => None,
        })
    }

    /// The property at a place.
    pub fn property(&self, at: usize) -> Option<&str> {
        self.find(at, |s| match s {
            Sense::Property(id) => Some(id.as_str()),
            _ => None,
        })
    }

    /// The dial noun at a place.
    pub fn dial(&self, at: usize) -> Option<(Dial, bool)> {
        self.find(at, |s| match s {
            Sense::Dial(dial, inverse) => Some((*dial, *inverse)),
            _ => None,
        })
    }

    /// The adjective at a place.
    pub fn quality(&self, at: usize) -> Option<(Dial, Push, bool)> {
        self.find(at, |s| match s {
            Sense::Quality(dial, push, base) => Some((*dial, *push, *base)),
            _ => None,
        })
    }

    /// The direction at a place.
    pub fn push(&self, at: usize) -> Option<Push> {
        self.find(at, |s| match s {
            Sense::Push(push) => Some(*push),
            _ => None,
        })
    }

    /// The symptom at a place.
    pub fn symptom(&self, at: usize) -> Option<(&str, bool)> {
        self.find(at, |s| match s {
            Sense::Symptom(symptom, base) => Some((symptom.as_str(), *base)),
            _ => None,
        })
    }

    /// The kind of ingredient at a place.
    pub fn group(&self, at: usize) -> Option<(&str, &str)> {
        self.find(at, |s| match s {
            Sense::Group(condition, assumed) => Some((condition.as_str(), assumed.as_str())),
            _ => None,
        })
    }

    /// The diet at a place.
    pub fn diet(&self, at: usize) -> Option<(&str, &str)> {
        self.find(at, |s| match s {
            Sense::Diet(condition, assumed) => Some((condition.as_str(), assumed.as_str())),
            _ => None,
        })
    }

    /// The trait at a place.
    pub fn attribute(&self, at: usize) -> Option<&str> {
        self.find(at, |s| match s {
            Sense::Trait(condition) => Some(condition.as_str()),
            _ => None,
        })
    }

    /// The allergens at a place.
    pub fn allergen(&self, at: usize) -> Option<(&[String], &str)> {
        self.find(at, |s| match s {
            Sense::Allergen(substances, assumed) => Some((substances.as_slice(), assumed.as_str())),
            _ => None,
        })
    }

    /// The dish at a place.
    pub fn dish(&self, at: usize) -> Option<&str> {
        self.find(at, |s| match s {
            Sense::Dish(dish) => Some(dish.as_str()),
            _ => None,
        })
    }

    /// Whether a dish is named, used or not.
    pub fn has_dish(&self) -> bool {
        let mut senses = self.pieces.iter().flat_map(|piece| &piece.senses);
        senses.any(|s| matches!(s, Sense::Dish(_)))
    }

    /// The step at a place.
    pub fn phase(&self, at: usize) -> Option<&str> {
        self.find(at, |s| match s {
            Sense::Phase(phase) => Some(phase.as_str()),
            _ => None,
        })
    }

    /// The comparison at a place.
    pub fn comparison(&self, at: usize) -> Option<Comparison> {
        self.find(at, |s| match s {
            Sense::Compare(comparison) => Some(*comparison),
            _ => None,
        })
    }

    /// Whether the phrase has this meaning.
    pub fn means(&self, at: usize, accept: impl Fn(&Sense) -> bool) -> bool {
        self.find(at, |s| accept(s).then_some(())).is_some()
    }

    /// Whether the phrase at a place only fills: an article, a pronoun, a verb without weight.
    pub fn fills(&self, at: usize) -> bool {
        self.means(at, |s| matches!(s, Sense::Filler(_)))
    }

    /// The same, used or not.
    pub fn fills_ever(&self, at: usize) -> bool {
        let senses = self.pieces.get(at).map(|p| p.senses.as_slice());
        let senses = senses.unwrap_or_default();
        senses.iter().any(|s| matches!(s, Sense::Filler(_)))
    }

    /// Whether the phrase is a comma.
    pub fn comma(&self, at: usize) -> bool {
        self.means(at, |s| matches!(s, Sense::Sign(',' | ';')))
    }

    /// The next place from `at` on that does not fill and is not used.
    pub fn after(&self, mut at: usize) -> usize {
        while at < self.len() && (self.fills(at) || self.pieces[at].used) {
            at += 1;
        }
        at
    }

    /// The nearest place before `at` that does not fill and is not used.
    pub fn before(&self, at: usize) -> Option<usize> {
        (0..at)
            .rev()
            .find(|&n| !self.fills(n) && !self.pieces[n].used)
    }

    /// Marks a phrase as taken in.
    pub fn take(&mut self, at: usize) {
        if let Some(piece) = self.pieces.get_mut(at) {
            piece.used = true;
        }
    }

    /// Marks phrases from `first` to `last` as taken in, both included.
    pub fn take_all(&mut self, first: usize, last: usize) {
        (first..=last).for_each(|at| self.take(at));
    }

    /// Notes what the reading takes for granted, once.
    pub fn assume(&mut self, sentence: &str) {
        if !sentence.is_empty() && !self.assumed.iter().any(|s| s == sentence) {
            self.assumed.push(sentence.to_string());
        }
    }
}

/// The longest known phrase the tokens begin with, and how many tokens it takes.
fn longest(text: &str, rest: &[Token], catalogue: &Catalogue) -> (Piece, usize) {
    let slice = |count: usize| &text[rest[0].start..rest[count - 1].end];
    let phrase_end = rest
        .iter()
        .position(|t| {
            t.kind == TokenKind::Sign && !matches!(&text[t.start..t.end], "%" | "/" | "&" | ".")
        })
        .unwrap_or(rest.len())
        .min(LONGEST);
    for count in (1..=phrase_end).rev() {
        let written = slice(count);
        // A number alone is a number; a name may begin with one.
        if count == 1 && matches!(rest[0].kind, TokenKind::Number(_)) {
            break;
        }
        let folded = fold(written);
        let mut found = senses(&folded, written, catalogue);
        if found.is_empty() && count > 1 {
            found = said_otherwise(&folded, catalogue);
        }
        let only_units = found.iter().all(|s| matches!(s, Sense::Unit(_)));
        if matches!(rest[0].kind, TokenKind::Number(_)) && only_units {
            continue;
        }
        if written == "%" {
            found = vec![Sense::Unit(Unit::Percent)];
        }
        if !found.is_empty() {
            let piece = Piece {
                text: written.to_string(),
                senses: found,
                used: false,
            };
            return (piece, count);
        }
    }
    let written = slice(1);
    let senses = match rest[0].kind {
        TokenKind::Number(number) => vec![Sense::Number(number)],
        TokenKind::Sign => sign(text, rest),
        TokenKind::Word => vec![],
    };
    let width = match &senses[..] {
        [Sense::Compare(Comparison::AtMost | Comparison::AtLeast)] if written.len() == 1 => 2,
        _ => 1,
    };
    let piece = Piece {
        text: slice(width).to_string(),
        senses,
        used: false,
    };
    (piece, width)
}

/// The meanings of a phrase said with stress, or of a name with its words turned round:
/// `carrageenan iota`.
fn said_otherwise(folded: &str, catalogue: &Catalogue) -> Vec<Sense> {
    let words: Vec<&str> = folded.split(' ').collect();
    if let [first, inner @ .., last] = &words[..]
        && inner.iter().any(|word| STRESS.contains(word))
    {
        let plain = inner.iter().filter(|word| !STRESS.contains(word));
        let plain: Vec<&str> = [*first]
            .into_iter()
            .chain(plain.copied())
            .chain([*last])
            .collect();
        let mut found = senses(&plain.join(" "), &plain.join(" "), catalogue);
        found.retain(|s| matches!(s, Sense::Symptom(..) | Sense::Quality(..)));
        return found;
    }
    match &words[..] {
        [rest @ .., "first"] | [rest @ .., "on", "top"] | [rest @ .., "at", "the", "top"]
            if !rest.is_empty() =>
        {
            // `the strongest on top` says in which order too.
            let mut found = senses(&rest.join(" "), &rest.join(" "), catalogue);
            if found.is_empty() {
                found = said_otherwise(&rest.join(" "), catalogue);
            }
            found.retain(|s| matches!(s, Sense::Superlative(..)));
            found
        }
        ["the", rest @ ..] if rest.len() > 1 => {
            // `the most acidic`
            let mut found = senses(&rest.join(" "), &rest.join(" "), catalogue);
            found.retain(|s| matches!(s, Sense::Superlative(..)));
            found
        }
        [first, second] => {
            // `gelatin vegetarian` asks whether it is; `carrageenan iota` names it.
            let other = |s: &Sense| !matches!(s, Sense::Ingredient(_));
            if senses(second, second, catalogue).iter().any(other) {
                return vec![];
            }
            let turned = format!("{second} {first}");
            let mut found = senses(&turned, &turned, catalogue);
            found.retain(|s| matches!(s, Sense::Ingredient(c) if c.ids.len() == 1));
            found
        }
        _ => vec![],
    }
}

fn sign(text: &str, rest: &[Token]) -> Vec<Sense> {
    let here = &text[rest[0].start..rest[0].end];
    let equal_follows = rest
        .get(1)
        .is_some_and(|t| &text[t.start..t.end] == "=" && t.start == rest[0].end);
    match (here, equal_follows) {
        ("%", _) => vec![Sense::Unit(Unit::Percent)],
        ("→", _) => vec![Sense::Cue(Cue::To)],
        ("&" | "+", _) => vec![Sense::Cue(Cue::And)],
        ("<", true) | ("≤", _) => vec![Sense::Compare(Comparison::AtMost)],
        (">", true) | ("≥", _) => vec![Sense::Compare(Comparison::AtLeast)],
        ("<", false) => vec![Sense::Compare(Comparison::Less)],
        (">", false) => vec![Sense::Compare(Comparison::Greater)],
        ("=", _) => vec![Sense::Compare(Comparison::Equal)],
        ("," | ";", _) => vec![Sense::Sign(',')],
        _ => vec![Sense::Filler(false)],
    }
}
