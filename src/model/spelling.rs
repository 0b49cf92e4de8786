//! The single words that names and vocabulary are made of, each with how common it is, and how far
//! a typed word is from it.

use std::sync::OnceLock;

/// Words of the grammar are likelier than words of a name as often met.
const OF_GRAMMAR: u32 = 3;

/// The most a word can weigh.
const HEAVIEST: u32 = 12;

/// One word people may type.
#[derive(Debug, Clone)]
pub struct Spelling {
    /// Folded.
    pub word: String,
    /// How likely it is to be meant, 0 to 12; a word of weight 0 is known but never offered.
    pub weight: u32,
    letters: u32,
    /// Few words are ever compared, so these wait until one is.
    skeleton: OnceLock<String>,
    sound: OnceLock<String>,
}

impl PartialEq for Spelling {
    fn eq(&self, other: &Self) -> bool {
        self.word == other.word && self.weight == other.weight
    }
}

impl Eq for Spelling {}

/// How often a word stands in what.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Uses {
    /// Phrases and names.
    pub met: u32,
    /// It is a phrase of the grammar alone.
    pub grammar: bool,
    /// It may be offered for another.
    pub offered: bool,
}

impl Spelling {
    /// A word with how often it is met.
    pub(super) fn new(word: String, uses: Uses) -> Spelling {
        let grammar = if uses.grammar { OF_GRAMMAR } else { 0 };
        let weight = if uses.offered {
            (1 + uses.met.ilog2() + grammar).min(HEAVIEST)
        } else {
            0
        };
        Spelling {
            weight,
            letters: letters(&word),
            skeleton: OnceLock::new(),
            sound: OnceLock::new(),
            word,
        }
    }

    /// Its vowels left out: `powder` is `pwdr`.
    pub fn skeleton(&self) -> &str {
        self.skeleton.get_or_init(|| skeleton(&self.word))
    }

    /// As it sounds, roughly: `froot` and `fruit` are one.
    pub fn sound(&self) -> &str {
        self.sound.get_or_init(|| sound(&self.word))
    }

    /// Whether no more than so many letters of either are missing in the other, which every word
    /// within as many edits fulfils.
    pub fn shares_letters(&self, other: &Typed, edits: u32) -> bool {
        (self.letters & !other.letters).count_ones() <= edits
            && (other.letters & !self.letters).count_ones() <= edits
    }
}

/// A word as typed, with what is compared of it.
#[derive(Debug, Clone)]
pub struct Typed {
    /// Its letters.
    pub word: Vec<char>,
    /// Its vowels left out.
    pub skeleton: String,
    /// As it sounds.
    pub sound: String,
    letters: u32,
}

impl Typed {
    /// A folded word.
    pub fn new(word: &str) -> Typed {
        Typed {
            word: word.chars().collect(),
            skeleton: skeleton(word),
            sound: sound(word),
            letters: letters(word),
        }
    }
}

/// The set of its letters, a bit each.
fn letters(word: &str) -> u32 {
    let of_alphabet = word.bytes().filter(u8::is_ascii_lowercase);
    of_alphabet.fold(0, |set, letter| set | 1 << (letter - b'a'))
}

/// Whether a letter is a vowel; `y` is one inside a word.
pub fn vowel(letter: char) -> bool {
    matches!(letter, 'a' | 'e' | 'i' | 'o' | 'u' | 'y')
}

fn skeleton(word: &str) -> String {
    let mut out = String::new();
    for (at, letter) in word.chars().enumerate() {
        if at == 0 || !vowel(letter) && !out.ends_with(letter) {
            out.push(letter);
        }
    }
    out
}

/// The word as it sounds: one vowel for all and none at the end, doubled letters single, letters of
/// one sound alike, silent ones left out.
fn sound(word: &str) -> String {
    let mut plain = word.to_string();
    for (written, spoken) in [
        ("ght", "t"),
        ("ph", "f"),
        ("ck", "k"),
        ("sch", "sk"),
        ("ce", "se"),
        ("ci", "si"),
        ("cy", "sy"),
        ("qu", "kw"),
        ("wh", "w"),
        ("kn", "n"),
        ("wr", "r"),
        ("x", "ks"),
    ] {
        if plain.contains(written) {
            plain = plain.replace(written, spoken);
        }
    }
    let mut out = String::new();
    for letter in plain.chars() {
        let spoken = match letter {
            'c' | 'q' => 'k',
            'z' => 's',
            vowel if self::vowel(vowel) => 'a',
            other => other,
        };
        if !out.ends_with(spoken) {
            out.push(spoken);
        }
    }
    if out.len() > 2 {
        out.truncate(out.trim_end_matches('a').len());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::{skeleton, sound};

    #[test]
    fn words_that_sound_alike_are_one() {
        for (typed, meant) in [("froot", "fruit"), ("nite", "night"), ("creem", "cream")] {
            assert_eq!(sound(typed), sound(meant), "{typed}");
        }
    }

    #[test]
    fn dropped_vowels_leave_the_skeleton() {
        for (typed, meant) in [("powdr", "powder"), ("mlk", "milk"), ("gltn", "gluten")] {
            assert_eq!(skeleton(typed), skeleton(meant), "{typed}");
        }
    }
}
