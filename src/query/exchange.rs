//! Exchanges told in the words of a kitchen: `butter out, oil in`, `take the sucrose out and put in
//! trehalose`, `put 50 g of cocoa mass in`. Each is cut anew to the cue that says the direction.

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

/// Words that take something from a mix when `out` follows it.
const TAKERS: [&str; 12] = [
    "take",
    "taking",
    "get",
    "getting",
    "pull",
    "leave",
    "leaving",
    "keep",
    "bring",
    "cut",
    "leave the",
    "throw",
];

/// Words that bring something into a mix when `in` follows it.
const PUTTERS: [&str; 32] = [
    "put",
    "puts",
    "putting",
    "i put",
    "we put",
    "pour",
    "pouring",
    "poured",
    "stir",
    "stirred",
    "stirring",
    "mix",
    "mixed",
    "fold",
    "folded",
    "work",
    "worked",
    "whisk",
    "whisked",
    "tip",
    "tipped",
    "chuck",
    "chucked",
    "throw",
    "threw",
    "drop",
    "dropped",
    "dump",
    "dumped",
    "blended",
    "incorporate",
    "incorporated",
];

/// Words of going and coming that may stand between a name and `out` or `in`.
const MOVES: [&str; 12] = [
    "goes", "go", "going", "comes", "come", "coming", "is", "are", "must", "should", "will", "can",
];

/// Words for the place that something held.
const PLACES: [&str; 3] = ["place", "stead", "position"];

impl Sentence {
    /// Gives `in` and `out`, `for` and `than` the direction they have beside the names.
    pub fn with_exchanges(mut self) -> Sentence {
        for at in 0..self.len() {
            self.where_it_was(at);
            self.what_it_does(at);
            self.in_its_place(at);
            self.none_left(at);
            self.passive(at);
            self.out_and_in(at);
            self.taken_out(at);
            self.removed_and_brought(at);
            self.put_in(at);
            self.brought_in_for(at);
            self.other_than(at);
            self.else_than(at);
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
    pub(super) fn past_amount(&self, at: usize) -> usize {
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

    /// Turns the pieces from `first` to `last` into words that only fill.
    fn silence(&mut self, first: usize, last: usize) {
        for piece in &mut self.pieces[first..=last] {
            piece.senses = vec![Sense::Filler(false)];
        }
    }

    /// Whether something is named before a place that is no dish.
    fn named_before(&self, at: usize) -> bool {
        (0..at).any(|n| self.names(n) && self.dish(n).is_none())
    }

    /// `quark where the mascarpone is supposed to go`: what was there goes.
    fn where_it_was(&mut self, at: usize) {
        if !self.says(at, &["where"]) || !self.named_before(at) {
            return;
        }
        let asks = |n: usize| {
            self.says(
                n,
                &["can", "could", "do", "does", "is", "are", "come", "comes"],
            )
        };
        let passed = |n: usize| self.fills(n) || self.is(n, Cue::Use) || self.is(n, Cue::Add);
        let Some(thing) = (at + 1..self.len()).find(|&n| !passed(n) || asks(n)) else {
            return;
        };
        if !self.names(thing) || asks(at + 1) {
            return;
        }
        let mut last = thing;
        while last + 1 < self.len() && (self.fills(last + 1) || self.is(last + 1, Cue::Is)) {
            last += 1;
        }
        if last > thing {
            self.silence(thing + 1, last);
        }
        if at + 1 < thing {
            self.silence(at + 1, thing - 1);
        }
        self.becomes(at, Sense::Cue(Cue::Instead));
        // `put quark in where`
        for n in 0..at {
            if self.says(n, &PUTTERS) || self.is(n, Cue::Add) {
                self.becomes(n, Sense::Cue(Cue::Use));
            } else if n + 1 == at && self.says(n, &["in"]) {
                self.becomes(n, Sense::Filler(false));
            }
        }
    }

    /// `could rice flour do what custard powder does`: what does it now goes.
    fn what_it_does(&mut self, at: usize) {
        const DO: [&str; 4] = ["do", "does", "doing", "did"];
        let led = at > 0 && self.says(at, &["what"]) && self.says(at - 1, &DO);
        let thing = self.past_amount(at + 1);
        if led && self.named_before(at) && self.names(thing) && self.says(thing + 1, &DO) {
            self.becomes(at, Sense::Cue(Cue::Instead));
            self.silence(thing + 1, thing + 1);
        }
    }

    /// `in the sugar's place`, `take butter's place`
    fn in_its_place(&mut self, at: usize) {
        let thing = self.past_amount(at + 1);
        let led = self.is(at, Cue::In) || self.says(at, &["take", "takes", "taking"]);
        if led && self.names(thing) && self.says(thing + 1, &PLACES) {
            self.becomes(at, Sense::Cue(Cue::Instead));
            self.becomes(thing + 1, Sense::Filler(false));
        }
    }

    /// `no mascarpone left`: there is none.
    fn none_left(&mut self, at: usize) {
        let thing = self.past_amount(at + 1);
        let none = self.says(at, &["no", "not any", "not enough", "hardly any"]);
        let mut end = thing + 1;
        while self.says(end, &["is", "was", "s"]) {
            end += 1;
        }
        const LEFT: [&str; 12] = [
            "left",
            "in stock",
            "available",
            "here",
            "around",
            "at hand",
            "to hand",
            "in the house",
            "left over",
            "today",
            "on hand",
            "anywhere",
        ];
        if none && self.names(thing) && self.says(end, &LEFT) {
            self.becomes(at, Sense::Cue(Cue::Lack));
            self.silence(thing + 1, end);
        }
    }

    /// `gelatin is to be supplanted by agar`, `butter displaced by oil`.
    fn passive(&mut self, at: usize) {
        let verb = [Cue::Replace, Cue::Swap, Cue::Substitute];
        let exchanged = verb.iter().any(|cue| self.is(at, *cue));
        let done = self.pieces[at].text.ends_with("ed") || self.pieces[at].text.ends_with("ed out");
        let by = self.after(at + 1);
        let led = (self.is(by, Cue::By) || self.is(by, Cue::With))
            && self.names(self.past_amount(by + 1));
        let before = (0..at)
            .rev()
            .find(|&n| !self.fills(n) && !self.is(n, Cue::Is) && !self.is(n, Cue::To));
        if exchanged && done && led && before.is_some_and(|n| self.names(n)) {
            self.becomes(at, Sense::Cue(Cue::ReplacedBy));
        }
    }

    /// `butter out, oil in`; `dextrose in, sucrose out`; `the butter goes out and oil comes in`.
    fn out_and_in(&mut self, at: usize) {
        if !self.names(at) {
            return;
        }
        let moved = |mut n: usize| {
            while self.says(n, &MOVES) {
                n += 1;
            }
            n
        };
        let says_in = |n: usize| self.says(n, &["in", "comes in", "goes in", "come in", "go in"]);
        let says_out =
            |n: usize| self.says(n, &["out", "goes out", "comes out", "go out", "come out"]);
        let first = moved(at + 1);
        let other = self.past_amount(first + 1);
        let closed = moved(other + 1);
        if !self.names(other) {
            return;
        }
        let cue = if says_out(first) && says_in(closed) {
            Cue::ReplacedBy
        } else if says_in(first) && says_out(closed) {
            Cue::Instead
        } else {
            return;
        };
        self.silence(at + 1, first);
        self.silence(other + 1, closed);
        self.becomes(first, Sense::Cue(cue));
    }

    /// `take the sucrose out of my sorbet and put in trehalose`: what is taken goes.
    fn taken_out(&mut self, at: usize) {
        let thing = self.past_amount(at + 1);
        let out = thing + 1;
        let led = self.says(at, &TAKERS) && self.names(thing);
        if !led || !self.says(out, &["out", "out of"]) {
            return;
        }
        match self.brought_after(out) {
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

    /// The place of a word that brings something named in.
    fn brought_after(&self, at: usize) -> Option<usize> {
        let brings =
            |n: &usize| self.is(*n, Cue::Add) || self.is(*n, Cue::Use) || self.says(*n, &PUTTERS);
        let named = |n: usize| (n + 1..self.len()).any(|n| self.names(n) && self.dish(n).is_none());
        (at + 1..self.len()).find(brings).filter(|&n| named(n))
    }

    /// `leave out the honey and put in agave`, `the butter I take away and put margarine`.
    fn removed_and_brought(&mut self, at: usize) {
        let adds = (0..at).any(|n| self.is(n, Cue::Add));
        if !self.is(at, Cue::Remove) || adds {
            return;
        }
        let thing = self.past_amount(at + 1);
        let Some(brought) = self.brought_after(at) else {
            return;
        };
        let goes = self.names(thing) || self.group(thing).is_some();
        let cue = if thing < brought && goes {
            Cue::Swap
        } else if self.named_before(at) {
            Cue::ReplacedBy
        } else {
            return;
        };
        self.becomes(at, Sense::Cue(cue));
        self.becomes(brought, Sense::Cue(Cue::Use));
    }

    /// `put 50 g of cocoa mass in`, `stirred 80 g of treacle into the base`, `+60 g lime juice`,
    /// `incorporate 25 g of pea protein`: an addition.
    fn put_in(&mut self, at: usize) {
        if self.is(at, Cue::Use) {
            return;
        }
        let thing = self.past_amount(at + 1);
        let weighed = (at + 1..thing).any(|n| {
            self.number(n).is_some()
                && matches!(
                    self.unit(n + 1),
                    Some(Unit::Grams(_) | Unit::Millilitres(_))
                )
        });
        if !self.names(thing) {
            return;
        }
        let begins = at == 0 || self.comma(at - 1);
        if self.says(at, &["+"]) && begins && weighed {
            self.becomes(at, Sense::Cue(Cue::Add));
            return;
        }
        if !self.says(at, &PUTTERS) {
            return;
        }
        let closes =
            |n: usize| n >= self.len() || self.comma(n) || self.fills(n) || self.is(n, Cue::And);
        if self.says(thing + 1, &["in"]) && (closes(thing + 2) || weighed) {
            self.becomes(at, Sense::Cue(Cue::Add));
            self.becomes(thing + 1, Sense::Filler(false));
        } else if weighed {
            self.becomes(at, Sense::Cue(Cue::Add));
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

    /// `anything besides wheat starch`, `what else but agar`, `something that isn't butter`: what is
    /// wanted stands in for it.
    fn else_than(&mut self, at: usize) {
        const OPEN: [&str; 11] = [
            "something",
            "anything",
            "what else",
            "something else",
            "anything else",
            "what other",
            "another thing",
            "what",
            "what other thing",
            "anything that",
            "something that",
        ];
        const BUT: [&str; 15] = [
            "but",
            "besides",
            "except",
            "other than",
            "apart from",
            "that isnt",
            "that is not",
            "that isn't",
            "that's not",
            "aside from",
            "beside",
            "instead",
            "isnt",
            "isn't",
            "is not",
        ];
        let but = self.after_silent(at + 1);
        let thing = self.past_amount(but + 1);
        let named = |n: &usize| self.names(*n) && !self.is(n + 1, Cue::Free);
        let one = (0..self.len()).filter(named).count() == 1;
        let kind = (0..self.len()).any(|n| self.group(n).is_some() && n != thing);
        if self.says(at, &OPEN) && self.says(but, &BUT) && one && !kind && self.names(thing) {
            self.becomes(but, Sense::Cue(Cue::Instead));
        }
    }

    /// The next place from `at` on that is more than a word of manner: `else`, `at all`.
    fn after_silent(&self, at: usize) -> usize {
        if self.says(at, &["else"]) { at + 1 } else { at }
    }
}
