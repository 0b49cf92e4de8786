//! Grades said after a name: `WPC 35`, `Glukosesirup 42`, `cream at 35 %`, `gelatin leaf (gold)`.

use super::sense::{Cue, Sense, Unit};
use super::sentence::Sentence;

impl Sentence {
    /// Gives a name that stands for several the one whose grade is said after it.
    pub fn with_grades_after(mut self) -> Sentence {
        for at in 0..self.len() {
            let Some((place, last, grade)) = self.grade_after(at) else {
                continue;
            };
            let graded = |id: &&String| {
                let mut parts = id.split('-');
                parts.any(|part| part == grade || part.strip_prefix("de") == Some(&grade))
            };
            let Some(named) = self.ingredient(at) else {
                continue;
            };
            let mut ids: Vec<&String> = named.ids.iter().chain(&named.namesakes).collect();
            ids.sort();
            ids.dedup();
            let mut meant = ids.into_iter().filter(graded);
            let (Some(id), None) = (meant.next().cloned(), meant.next()) else {
                continue;
            };
            for sense in &mut self.pieces[at].senses {
                if let Sense::Ingredient(named) = sense {
                    named.ids = vec![id.clone()];
                    named.assumed = String::new();
                }
            }
            for piece in &mut self.pieces[place..=last] {
                piece.senses = vec![Sense::Filler(false)];
            }
        }
        self
    }

    /// The first and the last place of a grade after a name of several, and what it says.
    fn grade_after(&self, at: usize) -> Option<(usize, usize, String)> {
        let named = self.ingredient(at)?;
        if named.ids.len() + named.namesakes.len() < 2 {
            return None;
        }
        let text = |n: usize| self.pieces.get(n).map(|piece| piece.text.to_lowercase());
        if text(at + 1).as_deref() == Some("(") && text(at + 3).as_deref() == Some(")") {
            return Some((at + 1, at + 3, text(at + 2)?));
        }
        let led = self.is(at + 1, Cue::At) || self.is(at + 1, Cue::With);
        let place = at + 1 + usize::from(led);
        let number = self.number(place)?;
        let last = match self.unit(place + 1) {
            None => place,
            Some(Unit::Percent) => place + 1,
            Some(_) => return None,
        };
        // `cream, 35 % sugar` and `gelatin 10 agar` speak of what follows.
        let next = (last + 1..self.len()).find(|&n| !self.fills(n));
        let of_next = next.is_some_and(|n| self.ingredient(n).is_some() || self.is(n, Cue::Of));
        (!of_next).then(|| (at + 1, last, number.to_string()))
    }
}
