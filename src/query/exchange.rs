//! Exchanges told in the words of a kitchen: `butter out, oil in`, `take the sucrose out and put in
//! trehalose`, `put 50 g of cocoa mass in`. Each is cut anew to the cue that says the direction.

use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// Words that take something from a mix when `out` follows it.
const TAKERS: [&str; 9] = [
    "take", "taking", "get", "getting", "pull", "leave", "keep", "bring", "cut",
];

/// Words that bring something into a mix when `in` follows it.
const PUTTERS: [&str; 6] = ["put", "puts", "putting", "i put", "we put", "pour"];

impl Sentence {
    /// Gives `in` and `out`, `for` and `than` the direction they have beside the names.
    pub fn with_exchanges(mut self) -> Sentence {
        for at in 0..self.len() {
            self.out_and_in(at);
            self.taken_out(at);
            self.put_in(at);
            self.brought_in_for(at);
            self.other_than(at);
        }
        self
    }

    pub(super) fn says(&self, at: usize, words: &[&str]) -> bool {
        let text = self.pieces.get(at).map(|piece| piece.text.to_lowercase());
        text.is_some_and(|text| words.contains(&text.as_str()))
    }

    fn names(&self, at: usize) -> bool {
        self.ingredient(at).is_some()
    }

    /// The next place from `at` on that is more than an article, an amount or a joint.
    fn past_amount(&self, at: usize) -> usize {
        let passed = |n: usize| {
            !self.says(n, &["in", "out"])
                && (self.fills(n)
                    || self.comma(n)
                    || self.is(n, Cue::And)
                    || self.is(n, Cue::Of)
                    || self.number(n).is_some()
                    || self.unit(n).is_some()
                    || self.means(n, |s| matches!(s, Sense::Share(..))))
        };
        (at..self.len())
            .find(|&n| self.names(n) || !passed(n))
            .unwrap_or(self.len())
    }

    fn becomes(&mut self, at: usize, sense: Sense) {
        self.pieces[at].senses = vec![sense];
    }

    /// `butter out, oil in`; `dextrose in, sucrose out`.
    fn out_and_in(&mut self, at: usize) {
        let first = at + 1;
        if !self.names(at) {
            return;
        }
        let other = self.past_amount(first + 1);
        let closed = other + 1;
        if !self.names(other) {
            return;
        }
        if self.says(first, &["out"]) && self.says(closed, &["in"]) {
            self.becomes(first, Sense::Cue(Cue::ReplacedBy));
            self.becomes(closed, Sense::Filler(false));
        } else if self.says(first, &["in"]) && self.says(closed, &["out"]) {
            self.becomes(first, Sense::Cue(Cue::Instead));
            self.becomes(closed, Sense::Filler(false));
        }
    }

    /// `take the sucrose out of my sorbet and put in trehalose`: what is taken goes.
    fn taken_out(&mut self, at: usize) {
        let thing = self.past_amount(at + 1);
        let out = thing + 1;
        let led = self.says(at, &TAKERS) && self.names(thing);
        if !led || !self.says(out, &["out", "out of"]) {
            return;
        }
        let brings =
            |n: &usize| self.is(*n, Cue::Add) || self.is(*n, Cue::Use) || self.says(*n, &PUTTERS);
        let named = |n: usize| (n..self.len()).any(|n| self.names(n) && self.dish(n).is_none());
        let brought = (out + 1..self.len()).find(brings).filter(|&n| named(n));
        match brought {
            Some(n) => {
                self.becomes(at, Sense::Cue(Cue::Swap));
                self.becomes(n, Sense::Cue(Cue::Use));
            }
            None => self.becomes(at, Sense::Cue(Cue::Remove)),
        }
        let inside = self.says(out, &["out of"]);
        self.becomes(
            out,
            if inside {
                Sense::Cue(Cue::In)
            } else {
                Sense::Filler(false)
            },
        );
    }

    /// `put 50 g of cocoa mass in`: an addition.
    fn put_in(&mut self, at: usize) {
        if !self.says(at, &PUTTERS) || self.is(at, Cue::Use) {
            return;
        }
        let thing = self.past_amount(at + 1);
        let closes =
            |n: usize| n >= self.len() || self.comma(n) || self.fills(n) || self.is(n, Cue::And);
        if self.names(thing) && self.says(thing + 1, &["in"]) && closes(thing + 2) {
            self.becomes(at, Sense::Cue(Cue::Add));
            self.becomes(thing + 1, Sense::Filler(false));
        }
    }

    /// `swapping oil in for butter`: what is swapped in comes.
    fn brought_in_for(&mut self, at: usize) {
        let verb =
            self.is(at, Cue::Swap) || self.is(at, Cue::Substitute) || self.says(at, &PUTTERS);
        let thing = self.past_amount(at + 1);
        if verb && self.names(thing) && self.says(thing + 1, &["in for"]) {
            self.becomes(at, Sense::Cue(Cue::Use));
        }
    }

    /// `a different emulsifier than polysorbate 60`: what stands after `than` goes.
    fn other_than(&mut self, at: usize) {
        let kind = at + 1;
        let other = self.says(at, &["different", "another", "other", "some other"]);
        let than = kind + 1;
        let named = self.group(kind).is_some() && self.names(self.after(than + 1));
        if other && named && self.says(than, &["than", "to", "from"]) {
            self.becomes(than, Sense::Cue(Cue::Instead));
        }
    }
}
