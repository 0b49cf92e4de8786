//! Phrases cut anew by what stands beside them: a verb that turns out to swap, a diet before a name,
//! a describing word that shares the noun of another.

use crate::model::Catalogue;

use super::sense::{Cue, Sense};
use super::sentence::{Piece, Sentence};

/// The family whose grades go by their dextrose equivalent.
const SYRUPS: &str = "glucose-syrup";

impl Sentence {
    /// `change guar to tara` is a swap, `change the sweetness` is none; after a swap `against`
    /// brings what comes in.
    pub fn with_changes(mut self) -> Sentence {
        let mut swapped = false;
        for at in 0..self.len() {
            if self.is(at, Cue::Change) {
                let thing = self.after(at + 1);
                let turned = (thing..self.len())
                    .any(|n| self.is(n, Cue::To) || self.is(n, Cue::For) || self.is(n, Cue::With));
                let cue = if self.ingredient(thing).is_some() && turned {
                    Sense::Cue(Cue::Swap)
                } else {
                    Sense::Filler(false)
                };
                self.pieces[at].senses = vec![cue];
            }
            swapped |= self.is(at, Cue::Swap) || self.is(at, Cue::Replace);
            if swapped && self.is(at, Cue::With) && self.is(at, Cue::Compare) {
                self.pieces[at].senses = vec![Sense::Cue(Cue::With)];
            }
        }
        self
    }

    /// `guar / tara`, `between panela and muscovado`: a sign or a word that sets two names side by
    /// side compares them.
    pub fn with_rivals(mut self) -> Sentence {
        for at in 0..self.len() {
            let name = |n: usize| self.ingredient(n).is_some() && self.dish(n).is_none();
            let first = self.after(at + 1);
            let joint = self.after(first + 1);
            let joined = self.is(joint, Cue::And) || self.is(joint, Cue::Or);
            let between = self.means(at, |s| *s == Sense::Between)
                && name(first)
                && joined
                && name(self.after(joint + 1));
            let sign = ["/", ":", "|"].contains(&self.pieces[at].text.as_str());
            let beside = sign && at > 0 && name(at - 1) && name(at + 1);
            if between || beside {
                self.pieces[at].senses = vec![Sense::Cue(Cue::Compare)];
            }
        }
        self
    }

    /// `salted butter instead of unsalted`, `white or milk chocolate`: a describing word set against
    /// a name shares its noun.
    pub fn with_heads_shared(mut self, catalogue: &Catalogue) -> Sentence {
        for at in 0..self.len() {
            let Some(whole) = self.shared(at, catalogue) else {
                continue;
            };
            self.pieces[at] = whole;
        }
        self
    }

    /// The describing word at a place with the noun of the name it is set against, if that is a name.
    fn shared(&self, at: usize, catalogue: &Catalogue) -> Option<Piece> {
        let describes = |s: &Sense| {
            matches!(
                s,
                Sense::Filler(_) | Sense::Quality(..) | Sense::Symptom(..)
            )
        };
        let silent = |n: usize| self.pieces[n].senses.contains(&Sense::Filler(false));
        let word = &self.pieces[at];
        if !word.senses.iter().all(describes) || silent(at) {
            return None;
        }
        let against = |n: usize| {
            [
                Cue::Instead,
                Cue::Compare,
                Cue::Or,
                Cue::And,
                Cue::ReplacedBy,
                Cue::For,
                Cue::With,
            ]
            .iter()
            .any(|cue| self.is(n, *cue))
        };
        let name = |n: usize| {
            let known = self.ingredient(n).is_some();
            known.then(|| self.pieces[n].text.split_once(' ')).flatten()
        };
        let named = |text: String| {
            let piece = Sentence::single(&text, catalogue);
            let known = piece
                .senses
                .iter()
                .any(|s| matches!(s, Sense::Ingredient(_)));
            known.then_some(piece)
        };
        let next = (at + 1..self.len()).find(|&n| !silent(n));
        let before = (0..at).rev().find(|&n| !silent(n));
        let ends =
            next.is_none_or(|n| !self.pieces[n].senses.is_empty() && self.ingredient(n).is_none());
        // `vanilla bean out, paste in`
        let in_or_out = |n: usize| self.says(n, &["in", "out"]);
        let exchanged = |n: usize| self.comma(n) && in_or_out(at + 1) && n > 0 && in_or_out(n - 1);
        if let Some(joint) = before.filter(|&n| against(n) && ends || exchanged(n)) {
            let other = (0..joint).rev().find(|&n| !silent(n))?;
            let (first, rest) = name(other)?;
            let head = rest.rsplit(' ').next()?;
            return named(format!("{} {head}", word.text))
                .or_else(|| named(format!("{first} {}", word.text)));
        }
        let joint = next.filter(|&n| against(n))?;
        let other = (joint + 1..self.len()).find(|&n| !silent(n))?;
        let (_, rest) = name(other)?;
        let head = rest.rsplit(' ').next()?;
        named(format!("{} {head}", word.text))
    }

    /// `deoiled soy lecithin`, `35 % whipping cream`: a word that stands in the id of what is named
    /// describes it.
    pub fn with_described_names(mut self, catalogue: &Catalogue) -> Sentence {
        for at in 1..self.len() {
            let Some(candidates) = self.ingredient(at) else {
                continue;
            };
            let ids = [candidates.ids.clone(), candidates.namesakes.clone()].concat();
            let percent = matches!(self.unit(at - 1), Some(super::sense::Unit::Percent));
            let word = if percent && at > 1 { at - 2 } else { at - 1 };
            let known = |sentence: &Sentence, n: usize| {
                let senses = &sentence.pieces[n].senses;
                senses
                    .iter()
                    .any(|s| !matches!(s, Sense::Number(_) | Sense::Filler(_)))
            };
            let text = self.pieces[word].text.to_lowercase();
            let told = |id: &String, text: &str| {
                let parts = id.split('-');
                parts
                    .into_iter()
                    .any(|part| part == text || format!("{part}ed") == text)
            };
            let described = |id: &&String| told(id, &text);
            let Some(id) = ids.iter().find(described).filter(|_| !known(&self, word)) else {
                continue;
            };
            let id = id.clone();
            for sense in &mut self.pieces[at].senses {
                if let Sense::Ingredient(candidates) = sense {
                    candidates.ids = vec![id.clone()];
                    candidates.assumed = String::new();
                }
            }
            let joined = word.checked_sub(1).filter(|&n| {
                [Cue::Or, Cue::And, Cue::Compare]
                    .iter()
                    .any(|cue| self.is(n, *cue))
            });
            if let Some(first) = joined
                .and_then(|n| n.checked_sub(1))
                .filter(|&n| !known(&self, n))
            {
                // `gold or bronze gelatine leaves`
                let text = self.pieces[first].text.to_lowercase();
                if let Some(other) = ids.iter().find(|id| told(id, &text)) {
                    let other = Sentence::single(other, catalogue);
                    self.pieces[first].senses = other.senses;
                }
            }
            for n in word..at {
                self.pieces[n].senses = vec![Sense::Filler(false)];
            }
        }
        if let Some(last) = self.pieces.iter().rposition(|piece| piece.text != "?")
            && self.pieces[last].text.eq_ignore_ascii_case("how")
        {
            // `whip aquafaba how`
            self.pieces[last].senses = vec![Sense::Cue(Cue::HowTo)];
        }
        self
    }

    /// `glucose syrup of DE 60`, `DE 38 syrup`: a grade said by its figure.
    pub fn with_graded_names(mut self, catalogue: &Catalogue) -> Sentence {
        for at in 0..self.len() {
            if self.property(at) != Some("dextrose_equivalent") {
                continue;
            }
            let Some(number) = self.number(at + 1) else {
                continue;
            };
            // `under DE 40`, `DE 40 or lower`
            let bounded = (self.before(at)).is_some_and(|n| self.comparison(n).is_some())
                || self.comparison(self.after(at + 2)).is_some();
            let before =
                self.before(at)
                    .map(|n| match self.is(n, Cue::Of) || self.is(n, Cue::With) {
                        true => self.before(n).unwrap_or(n),
                        false => n,
                    });
            let grade = |n: usize| {
                let found = self.ingredient(n);
                let id = found.and_then(|c| c.ids.first());
                let family = match (id, self.group(n)) {
                    (Some(id), _) => &catalogue.ingredient(catalogue.key(id)?).family,
                    // `DE 38 syrup`
                    (None, Some((kind, _))) if kind.contains(SYRUPS) => SYRUPS,
                    _ => return None,
                };
                let of_grade = |i: &&crate::model::Ingredient| {
                    i.family == *family && i.id.ends_with(&format!("-de{number}"))
                };
                let dried = |id: &str| id.contains("dried");
                let mut alike = catalogue.ingredients.iter().filter(of_grade);
                alike.find(|i| dried(&i.id) == id.is_some_and(|id| dried(id)))
            };
            let beside = [before, Some(at + 2)].into_iter().flatten();
            let meant = beside
                .map(|n| (n, n))
                .chain(self.shared_grade(at).map(|n| (at, n)))
                .find_map(|(place, n)| Some((place, grade(n)?.id.clone())));
            if let Some((n, id)) = meant.filter(|_| !bounded) {
                let named = Sentence::single(&id, catalogue);
                for other in [at, at + 1] {
                    self.pieces[other].senses = vec![Sense::Filler(false)];
                }
                self.pieces[n].senses = named.senses;
            }
        }
        self
    }

    /// The noun of `DE 38 / DE 60 syrup`, the one before in `glucose syrup DE 38 vs DE 60`, which
    /// the grade at a place shares.
    fn shared_grade(&self, at: usize) -> Option<usize> {
        let joins = |n: usize| {
            let cues = [Cue::Or, Cue::And, Cue::Compare, Cue::To, Cue::ReplacedBy];
            let sign = self.pieces.get(n).is_some_and(|p| p.text == "/");
            sign || self.comma(n) || cues.iter().any(|cue| self.is(n, *cue))
        };
        let graded = |n: usize| {
            self.property(n) == Some("dextrose_equivalent") && self.number(n + 1).is_some()
        };
        if joins(at + 2) && graded(at + 3) {
            return Some(at + 5);
        }
        let named = |n: &usize| self.ingredient(*n).is_some();
        (at > 0 && joins(at - 1)).then(|| (0..at - 1).rev().find(named))?
    }

    /// `passionfruit juice` is the juice: a word that goes on a name as its id does.
    pub fn with_names_continued(mut self, catalogue: &Catalogue) -> Sentence {
        let mut at = 0;
        while at + 1 < self.len() {
            let next = crate::model::fold(&self.pieces[at + 1].text);
            let whole = self
                .ingredient(at)
                .filter(|c| c.ids.len() == 1 && !next.is_empty())
                .map(|c| format!("{}-{}", c.ids[0], next.replace(' ', "-")))
                .filter(|id| catalogue.key(id).is_some());
            if let Some(id) = whole {
                let mut piece = Sentence::single(&id, catalogue);
                piece.text = format!("{} {}", self.pieces[at].text, self.pieces[at + 1].text);
                self.pieces.splice(at..=at + 1, [piece]);
            }
            at += 1;
        }
        self
    }

    /// `waxy maize` is no complaint of maize: a word of a fault that begins a known name is part of it.
    pub fn with_faulty_names(mut self, catalogue: &Catalogue) -> Sentence {
        let mut at = 0;
        while at + 1 < self.len() {
            let begin = format!("{} {}", self.pieces[at].text, self.pieces[at + 1].text);
            let begin = format!("{}-", crate::model::fold(&begin).replace(' ', "-"));
            let named = self.symptom(at).is_some() && self.ingredient(at + 1).is_some();
            let mut meant = catalogue
                .ingredients
                .iter()
                .filter(|i| i.id.starts_with(&begin));
            if let (true, Some(one), None) = (named, meant.next(), meant.next()) {
                let mut piece = Sentence::single(&one.id, catalogue);
                piece.text = begin.trim_end_matches('-').replace('-', " ");
                self.pieces.splice(at..=at + 1, [piece]);
            }
            at += 1;
        }
        self
    }

    /// `I fell out with my landlord`: an everyday word tells of a fault only beside food.
    pub fn with_faults_of_food(mut self, catalogue: &Catalogue) -> Sentence {
        let everyday = |piece: &Piece| {
            let folded = crate::model::fold(&piece.text);
            catalogue
                .meanings(&folded)
                .any(|word| word.table == "symptoms" && word.detail == "food")
        };
        let food = |piece: &Piece| {
            piece.senses.iter().any(|s| match s {
                Sense::Dish(_) | Sense::Ingredient(_) | Sense::Group(..) => true,
                Sense::Symptom(..) => !everyday(piece),
                _ => false,
            })
        };
        for at in 0..self.pieces.len() {
            // `this crumble base`, `a biscuit crumble`: a dish, where it does not say what happens.
            let article = |n: usize| self.says(n, &["a", "the", "this", "my", "our"]);
            let before = at.checked_sub(1);
            let flavoured =
                before.is_some_and(|n| n > 0 && self.ingredient(n).is_some() && article(n - 1));
            let amid = before.is_some_and(|n| self.ingredient(n).is_some())
                && self.ingredient(at + 1).is_some();
            let noun =
                before.is_some_and(article) || flavoured || amid || self.dish(at + 1).is_some();
            if self.symptom(at).is_some() && self.dish(at).is_some() {
                let dropped = |s: &Sense| match s {
                    Sense::Symptom(..) => noun,
                    Sense::Dish(_) => !noun,
                    _ => false,
                };
                self.pieces[at].senses.retain(|s| !dropped(s));
            }
        }
        if !self.pieces.iter().any(food) {
            for piece in &mut self.pieces {
                if everyday(piece) {
                    piece.senses.retain(|s| !matches!(s, Sense::Symptom(..)));
                }
            }
        }
        self
    }

    /// `how much of proteins has it`: an amount is asked of what a kind is named after.
    pub fn with_contents_asked(mut self, catalogue: &Catalogue) -> Sentence {
        for at in 0..self.len() {
            let next = self.after(at + 1);
            let asks = self.pieces[at].text.to_lowercase().starts_with("how much");
            if asks && self.group(next).is_some() {
                let named = crate::model::fold(&self.pieces[next].text);
                let id = named.strip_suffix('s').unwrap_or(&named);
                if catalogue.property(id).is_some() {
                    self.pieces[next].senses = vec![Sense::Property(id.to_string())];
                }
            }
        }
        self
    }

    /// `setting above 40 C`, `melting below 30 C`: a verb with a temperature measures.
    pub fn with_measured_verbs(mut self) -> Sentence {
        for at in 0..self.len() {
            let property = match self.pieces[at].text.to_lowercase().as_str() {
                "setting" | "gelling" | "gel" | "gels" => "setting_temperature",
                "melting" => "melting_point",
                "thickening" => "gelatinisation_temperature",
                _ => continue,
            };
            let next = self.after(at + 1);
            let bound =
                self.comparison(next).is_some() || self.means(next, |s| *s == Sense::Between);
            let figure = (next + 1..self.len()).any(|n| self.number(n).is_some())
                || (next..self.len())
                    .any(|n| self.means(n, |s| matches!(s, Sense::Temperature(_))));
            if bound && figure {
                self.pieces[at].senses = vec![Sense::Property(property.to_string())];
            }
        }
        self
    }

    /// `vegan gelatin substitute` is a vegan substitute for gelatin, not one for agar; `sugar-free
    /// chocolate sorbet` is a sorbet to be made so, though such a chocolate is sold.
    pub fn with_diets_apart(mut self, catalogue: &Catalogue) -> Sentence {
        let mut at = 0;
        while at + 1 < self.pieces.len() {
            let led = self.cue(at + 1) == Some(Cue::Substitute)
                || self.dish(at + 1).is_some() && self.dish(at).is_none();
            if led && self.ingredient(at).is_some() {
                let text = self.pieces[at].text.clone();
                let parts = text.match_indices([' ', '-']).find_map(|(cut, _)| {
                    let diet = Sentence::single(&text[..cut], catalogue);
                    let other = Sentence::single(&text[cut + 1..], catalogue);
                    let is_diet = diet.senses.iter().any(|s| matches!(s, Sense::Diet(..)));
                    (is_diet && !other.senses.is_empty()).then_some([diet, other])
                });
                if let Some(parts) = parts {
                    self.pieces.splice(at..=at, parts);
                }
            }
            at += 1;
        }
        self
    }

    /// `gelatin substitute` asks for a substitute, though one is sold under that name.
    pub fn with_substitutes_apart(mut self, catalogue: &Catalogue) -> Sentence {
        let mut at = 0;
        while at < self.len() {
            let text = self.pieces[at].text.clone();
            if self.ingredient(at).is_some()
                && let Some((head, last)) = text.rsplit_once(' ')
            {
                let head = Sentence::single(head, catalogue);
                let last = Sentence::single(last, catalogue);
                if last.senses.contains(&Sense::Cue(Cue::Substitute)) && !head.senses.is_empty() {
                    self.pieces.splice(at..=at, [head, last]);
                }
            }
            at += 1;
        }
        self
    }
}
