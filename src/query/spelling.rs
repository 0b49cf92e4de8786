//! Slips of the finger, corrected to the word meant, and told.

use crate::model::spelling::vowel;
use crate::model::{Catalogue, Typed, fold};

use super::inflection::base_forms;
use super::lexer::{Token, TokenKind, tokens};
use super::vocabulary::phrase_known;

/// Shorter words have too many neighbours to guess.
const SHORTEST: usize = 3;

/// The cost of one plain edit; every other cost is in tenths of it.
const EDIT: u32 = 10;

/// How much less a word costs that makes a known phrase with its neighbours.
const IN_PHRASE: u32 = 8;

/// A word is taken when it is so much nearer than the next.
const MARGIN: u32 = 2;

/// Candidates kept for a look at their neighbours.
const KEPT: usize = 6;

/// Words beside an unknown one that may make a phrase with it, on either side.
const BESIDE: usize = 2;

/// A word that may be meant.
#[derive(Debug, Clone)]
struct Guess {
    word: String,
    /// The edits it takes.
    cost: u32,
    /// How common it is.
    weight: u32,
}

impl Guess {
    /// What it takes to believe it: common words are believed sooner.
    fn score(&self, in_phrase: bool) -> u32 {
        let eased = self.weight / 3 + if in_phrase { IN_PHRASE } else { 0 };
        (self.cost + EDIT).saturating_sub(eased)
    }
}

/// The text with unknown words replaced by the word meant: typed, meant. Words of `kept` stay as
/// they were typed.
pub(super) fn corrected(
    text: &str,
    catalogue: &Catalogue,
    kept: &[String],
) -> (String, Vec<(String, String)>) {
    let tokens = tokens(text);
    let typed = |token: &Token| &text[token.start..token.end];
    let mut words: Vec<String> = tokens.iter().map(|token| fold(typed(token))).collect();
    let mut guesses: Vec<(usize, Vec<Guess>)> = vec![];
    for (at, token) in tokens.iter().enumerate() {
        let written = typed(token);
        let plain = token.kind == TokenKind::Word && !written.contains(['\'', '’']);
        let kept = kept.iter().any(|word| word == written);
        let doubtful = doubtful(&words[at], catalogue);
        let known = known(&words[at], catalogue) && !doubtful;
        if !plain || kept || known || words[at].len() < SHORTEST {
            continue;
        }
        // `Medjool` in the midst of a sentence is a name.
        let name = at > 0 && written.starts_with(char::is_uppercase);
        let capitals = written.chars().all(char::is_uppercase);
        let mut found = near(&words[at], catalogue);
        if name && !capitals {
            found.retain(|guess| guess.cost < EDIT);
        }
        if doubtful {
            found.retain(|guess| makes_phrase(&guess.word, &words, at, catalogue));
        }
        if !found.is_empty() {
            guesses.push((at, found));
        }
    }
    if guesses.is_empty() {
        return (text.to_string(), vec![]);
    }
    // Neighbours are taken as they are likeliest to be meant.
    let folded = words.clone();
    for (at, found) in &guesses {
        words[*at].clone_from(&found[0].word);
    }
    let mut out = String::with_capacity(text.len());
    let mut changes = vec![];
    let mut end = 0;
    for (at, found) in guesses {
        let Some(meant) = likeliest(&found, &folded[at], &words, at, catalogue) else {
            words[at].clone_from(&folded[at]);
            continue;
        };
        words[at].clone_from(&meant);
        let token = &tokens[at];
        out.push_str(&text[end..token.start]);
        out.push_str(&meant);
        end = token.end;
        changes.push((typed(token).to_string(), meant));
    }
    out.push_str(&text[end..]);
    (out, changes)
}

/// The one guess that is nearer than all others, once the words beside it have had their say.
fn likeliest(
    found: &[Guess],
    typed: &str,
    words: &[String],
    at: usize,
    catalogue: &Catalogue,
) -> Option<String> {
    let mut scored: Vec<(u32, &Guess)> = vec![];
    for guess in found {
        let in_phrase = makes_phrase(&guess.word, words, at, catalogue);
        if in_phrase || believable(typed, guess) {
            scored.push((guess.score(in_phrase), guess));
        }
    }
    scored.sort_by(|a, b| a.0.cmp(&b.0).then_with(|| b.1.weight.cmp(&a.1.weight)));
    let (best, first) = scored.first()?;
    let rival = scored[1..]
        .iter()
        .find(|(_, guess)| !one_word(&first.word, &guess.word, catalogue));
    rival
        .is_none_or(|(score, _)| *score >= best + MARGIN)
        .then(|| first.word.clone())
}

/// A word and its other forms are one word, and so are two of one meaning.
fn one_word(one: &str, other: &str, catalogue: &Catalogue) -> bool {
    let form = |a: &str, b: &str| base_forms(a).iter().any(|base| base == b);
    let meaning = |word: &str| {
        let rows = catalogue.meanings(word);
        rows.map(|row| (&row.table, &row.meaning, &row.detail))
            .collect::<Vec<_>>()
    };
    let stated = meaning(one);
    form(one, other) || form(other, one) || !stated.is_empty() && stated == meaning(other)
}

/// Whether a slip only swaps letters or drops vowels: little doubt is left of what was meant.
pub(super) fn mere_slip(typed: &str, meant: &str) -> bool {
    let (typed, meant) = (fold(typed), fold(meant));
    let letters = |word: &str| {
        let mut letters: Vec<char> = word.chars().collect();
        letters.sort_unstable();
        letters
    };
    let skeleton = |word: &str| Typed::new(word).skeleton;
    letters(&typed) == letters(&meant)
        || only_drops(&typed, &meant) && skeleton(&typed) == skeleton(&meant)
}

/// Whether the guess is near enough alone: short words must be hit closely or be common ones.
fn believable(typed: &str, guess: &Guess) -> bool {
    let (cost, weight) = (guess.cost, guess.weight);
    match typed.len() {
        3 => cost < 9 && weight > 2 || cost <= EDIT && weight > 8,
        4 => cost < 9 || cost <= EDIT && weight > 4,
        5 | 6 => cost <= EDIT + 2,
        // Two plain slips are believed for a word often met alone.
        _ => cost <= EDIT + 2 * weight.min(EDIT / 2),
    }
}

/// Whether the word makes a known phrase with the words beside it.
fn makes_phrase(word: &str, words: &[String], at: usize, catalogue: &Catalogue) -> bool {
    let first = at.saturating_sub(BESIDE);
    let last = (at + BESIDE).min(words.len() - 1);
    (first..=at).any(|from| {
        (at..=last).filter(|to| *to > from).any(|to| {
            let mut phrase = words[from..=to].to_vec();
            phrase[at - from] = word.to_string();
            phrase_known(&phrase.join(" "), catalogue)
        })
    })
}

/// The words near an unknown one, the likeliest first.
fn near(word: &str, catalogue: &Catalogue) -> Vec<Guess> {
    let typed = Typed::new(word);
    let length = typed.word.len();
    let edits = if length < 5 { 1 } else { 2 };
    let first = typed.word[0];
    let mut found: Vec<Guess> = split(word, catalogue).into_iter().collect();
    for spelling in catalogue.spellings() {
        if spelling.weight == 0 || spelling.word.len() < SHORTEST {
            continue;
        }
        let begins = spelling.word.starts_with(first);
        // A slip hits the first letter by a swap with the second alone.
        let turned = !begins
            && typed
                .word
                .get(1)
                .is_some_and(|c| spelling.word.starts_with(*c));
        if !begins && !turned {
            continue;
        }
        let dropped = || only_drops(word, &spelling.word) && spelling.skeleton() == typed.skeleton;
        let sounds = || spelling.word.len().abs_diff(length) < 3 && spelling.sound() == typed.sound;
        let alike = begins && (dropped() || sounds());
        let within = spelling.word.len().abs_diff(length) <= edits as usize
            && spelling.shares_letters(&typed, edits);
        let mut cost = if within {
            let meant: Vec<char> = spelling.word.chars().collect();
            if turned && (meant.get(1) != Some(&first)) {
                continue;
            }
            distance(&typed.word, &meant)
        } else {
            u32::MAX
        };
        if alike && length > 3 {
            cost = cost.min(EDIT - 1);
        } else if alike && spelling.skeleton().len() == length {
            // `mlk`
            cost = cost.min(7);
        }
        if cost <= 2 * EDIT {
            found.push(Guess {
                word: spelling.word.clone(),
                cost,
                weight: spelling.weight,
            });
        }
    }
    found.sort_by_key(|guess| guess.score(false));
    found.truncate(KEPT);
    found
}

/// Whether the word meant holds all typed letters in their order, and more: `powdr`, but not
/// `glutin` for `gelatin`.
fn only_drops(typed: &str, meant: &str) -> bool {
    let mut rest = meant.chars();
    meant.len() > typed.len()
        && typed
            .chars()
            .all(|letter| rest.any(|other| other == letter))
}

/// `abit`, `oatmilk`: two words of a known phrase written as one.
fn split(word: &str, catalogue: &Catalogue) -> Option<Guess> {
    let cuts = (1..word.len()).filter(|&cut| word.is_char_boundary(cut));
    let parted = |cut: usize| format!("{} {}", &word[..cut], &word[cut..]);
    let phrase = cuts
        .map(parted)
        .find(|phrase| phrase_known(phrase, catalogue))?;
    Some(Guess {
        word: phrase,
        cost: 6,
        weight: 6,
    })
}

/// The cost of the edits from a typed word to the one meant, in tenths of a plain edit: swapped
/// neighbours, dropped and doubled letters and other vowels are common slips.
fn distance(typed: &[char], meant: &[char]) -> u32 {
    let cap = 2 * EDIT + 1;
    let missing = |at: usize| {
        let letter = meant[at];
        let doubled = at > 0 && meant[at - 1] == letter || meant.get(at + 1) == Some(&letter);
        let silent =
            letter == 'h' && at > 0 && matches!(meant[at - 1], 'w' | 'c' | 't' | 'g' | 'r');
        match () {
            () if doubled => 5,
            () if vowel(letter) => 6,
            () if silent => 7,
            () => EDIT,
        }
    };
    let surplus = |at: usize| {
        let letter = typed[at];
        let doubled = at > 0 && typed[at - 1] == letter || typed.get(at + 1) == Some(&letter);
        if doubled { 5 } else { EDIT + 1 }
    };
    let other = |one: char, two: char| match () {
        () if one == two => 0,
        () if vowel(one) && vowel(two) => EDIT - 1,
        () if matches!(
            (one, two),
            ('c', 'k' | 's') | ('k' | 's', 'c') | ('s', 'z') | ('z', 's')
        ) =>
        {
            EDIT - 1
        }
        () => EDIT,
    };
    let mut before: Vec<u32> = vec![];
    let mut previous: Vec<u32> = vec![0];
    for at in 0..meant.len() {
        previous.push(previous[at] + missing(at));
    }
    for i in 1..=typed.len() {
        let mut row = vec![previous[0] + surplus(i - 1); meant.len() + 1];
        for j in 1..=meant.len() {
            let replaced = previous[j - 1] + other(typed[i - 1], meant[j - 1]);
            row[j] = replaced
                .min(previous[j] + surplus(i - 1))
                .min(row[j - 1] + missing(j - 1));
            if i > 1 && j > 1 && typed[i - 1] == meant[j - 2] && typed[i - 2] == meant[j - 1] {
                row[j] = row[j].min(before[j - 2] + 7);
            }
        }
        if row.iter().all(|&cost| cost >= cap) {
            return cap;
        }
        before = previous;
        previous = row;
    }
    previous[meant.len()]
}

/// Whether the word is a name only abroad, or by a slip that is listed as one: it stands, but for a
/// longer name, as in `pistacho paste`.
fn doubtful(word: &str, catalogue: &Catalogue) -> bool {
    let foreign = catalogue
        .spelling(word)
        .is_none_or(|spelling| spelling.weight == 0);
    foreign && !catalogue.bearers(word).is_empty() && catalogue.meanings(word).next().is_none()
}

/// Whether the word, or one it is a form of, stands in any name or table.
fn known(word: &str, catalogue: &Catalogue) -> bool {
    let spelt = |word: &str| catalogue.spelling(word).is_some();
    let compared = |ending: &str| {
        let stem = word.strip_suffix(ending).filter(|stem| stem.len() > 3);
        stem.is_some_and(|stem| spelt(stem) || spelt(&format!("{stem}e")))
    };
    // `skimed` is no form of `skim` where there is `skimmed`.
    let doubled = ["ed", "ing", "er"].iter().any(|ending| {
        let stem = word.strip_suffix(ending);
        let last = stem.and_then(|stem| Some((stem, stem.chars().next_back()?)));
        last.is_some_and(|(stem, last)| spelt(&format!("{stem}{last}{ending}")))
    });
    if doubled && !spelt(word) {
        return false;
    }
    word.chars().any(|c| !c.is_alphabetic())
        || spelt(word)
        || !word.ends_with("ss") && base_forms(word).iter().any(|base| spelt(base))
        || ["er", "est", "ly", "ness"]
            .iter()
            .any(|ending| compared(ending))
        || !matches!(catalogue.named(word), crate::model::Named::Unknown)
}

#[cfg(test)]
mod tests {
    use super::distance;

    #[test]
    fn common_slips_are_cheaper_than_others() {
        let cost = |typed: &str, meant: &str| {
            let letters = |word: &str| word.chars().collect::<Vec<_>>();
            distance(&letters(typed), &letters(meant))
        };
        for (typed, meant, worse) in [
            ("hwo", "how", "two"),
            ("buter", "butter", "buffer"),
            ("powdr", "powder", "powers"),
            ("suger", "sugar", "super"),
        ] {
            assert!(cost(typed, meant) < cost(typed, worse), "{typed}");
        }
    }
}
