//! Questions of law, of people's health and of keeping: `is carrageenan allowed in the EU`, `can a
//! pregnant woman eat this`, `how fast must I cool it`. Their words stand in `data/law-words.csv`.

use crate::model::law::LawWord;
use crate::model::{Catalogue, IngredientKey, fold};

use super::question::{About, Question, Reading};
use super::sense::{Cue, Sense};
use super::sentence::Sentence;

/// Words that make a sentence a wish to change something, which other grammars read.
const OTHER: [Cue; 12] = [
    Cue::Swap,
    Cue::Replace,
    Cue::ReplacedBy,
    Cue::Substitute,
    Cue::Instead,
    Cue::Afterwards,
    Cue::Lack,
    Cue::Without,
    Cue::Free,
    Cue::Make,
    Cue::Compare,
    Cue::Remove,
];
/// Topics that need no word for asking: their phrases ask.
const ASKING: [&str; 4] = ["keeping", "cooling", "raw egg", "holding"];
/// The topic of how long a dish keeps: of an ingredient nothing is on file.
const KEEPING: &str = "keeping";
/// The property a law sets.
const MAXIMUM: &str = "maximum_level";
/// The topic of people who are allergic.
const ALLERGY: &str = "allergy";

/// Reads a question of law or health; `written` is the text as typed, `text` in plain words.
pub(super) fn read(
    written: &str,
    text: &str,
    catalogue: &Catalogue,
    held: &[IngredientKey],
) -> Option<Reading> {
    let said = Said::of(written, catalogue);
    if said.words.is_empty() {
        return None;
    }
    let mut sentence = Sentence::of(text, catalogue);
    let question = said
        .label(&sentence, catalogue, held)
        .or_else(|| said.legal(&mut sentence, catalogue, held))
        .or_else(|| said.care(&mut sentence, catalogue, held))?;
    let known = |text: &str| {
        let folded = fold(text);
        said.text.contains(&format!(" {folded} "))
            && (said.words.iter().any(|met| {
                let end = met.at + met.text.len() - 1;
                let pattern = format!(" {folded} ");
                let mut places = said.text.match_indices(&pattern);
                places.any(|(n, _)| n >= met.at && n < end)
            }))
    };
    let unread = sentence.pieces.iter().filter(|piece| {
        let silent = |s: &Sense| matches!(s, Sense::Cue(_) | Sense::Filler(false) | Sense::Sign(_));
        !piece.used && !piece.senses.iter().any(silent) && !known(&piece.text)
    });
    Some(Reading {
        set_aside: unread.map(|piece| piece.text.clone()).collect(),
        assumed: sentence.assumed,
        question,
        corrected: vec![],
        without: false,
        strict: false,
        served: None,
    })
}

/// The words of the table that a text holds.
struct Said<'a> {
    /// Folded, with a space before and after, E numbers in one word.
    text: String,
    /// Of words that overlap the longest.
    words: Vec<Met<'a>>,
}

/// A word of the table where it stands.
#[derive(Debug, Clone)]
struct Met<'a> {
    /// Where in the text it begins.
    at: usize,
    /// What stands there, with the spaces around it.
    text: String,
    word: &'a LawWord,
}

/// Stands for a few words within a phrase: `how long does ... keep`.
const GAP: &str = " ... ";
/// The most characters it stands for.
const WITHIN: usize = 40;

/// Where a phrase stands in a text, and how much of it it takes.
fn places(text: &str, phrase: &str) -> Vec<(usize, usize)> {
    let Some((head, tail)) = phrase.split_once(GAP) else {
        let pattern = format!(" {} ", fold(phrase));
        let found = text.match_indices(&pattern);
        return found.map(|(at, found)| (at, found.len())).collect();
    };
    let (head, tail) = (format!(" {} ", fold(head)), format!(" {} ", fold(tail)));
    let begun = text.match_indices(&head);
    let ended = begun.filter_map(|(at, _)| {
        let from = at + head.len() - 1;
        let gap = text[from..].find(&tail).filter(|gap| *gap <= WITHIN)?;
        Some((at, from + gap + tail.len() - at))
    });
    ended.collect()
}

impl<'a> Said<'a> {
    fn of(written: &str, catalogue: &'a Catalogue) -> Self {
        let text = format!(" {} ", numbered(&fold(written)));
        let typed: Vec<&str> = written.split(|c: char| !c.is_alphanumeric()).collect();
        let mut met: Vec<Met> = vec![];
        for word in catalogue.law.words.iter().filter(|w| w.meaning != "name") {
            let capitals = word.word.chars().all(char::is_uppercase);
            if capitals && !typed.contains(&word.word.as_str()) {
                continue;
            }
            for (at, len) in places(&text, &word.word) {
                let text = text[at..at + len].to_string();
                met.push(Met { at, text, word });
            }
        }
        let within = |one: &&Met| {
            met.iter().any(|other| {
                other.text.len() > one.text.len()
                    && other.at <= one.at
                    && one.at + one.text.len() <= other.at + other.text.len()
            })
        };
        let words = met.iter().filter(|one| !within(one)).cloned().collect();
        Said { text, words }
    }

    fn has(&self, meaning: &str) -> bool {
        self.words.iter().any(|met| met.word.meaning == meaning)
    }

    fn details(&self, meaning: &str) -> Vec<String> {
        let mut found: Vec<String> = vec![];
        for met in self.words.iter().filter(|met| met.word.meaning == meaning) {
            if !found.contains(&met.word.detail) {
                found.push(met.word.detail.clone());
            }
        }
        found
    }

    /// `can I write sugar free`, `what must stand on the label`
    fn label(
        &self,
        sentence: &Sentence,
        catalogue: &Catalogue,
        held: &[IngredientKey],
    ) -> Option<Question> {
        if held.is_empty() {
            return None;
        }
        let mut about: Vec<About> = vec![];
        let mut add = |one: About| {
            if !about.contains(&one) {
                about.push(one);
            }
        };
        if self.has("label") {
            add(About::Label);
        }
        if self.has("claims") {
            // Of ways to say it that stand one in another the longest is meant.
            let claims = catalogue.labels.claims.iter();
            let said = claims.filter_map(|claim| {
                let words = claim.words.iter().map(|word| format!(" {} ", fold(word)));
                let met = words.filter(|word| self.text.contains(word));
                Some((claim, met.max_by_key(String::len)?))
            });
            let said: Vec<_> = said.collect();
            for (claim, words) in &said {
                let longer =
                    |other: &str| other.len() > words.len() && other.contains(words.as_str());
                if !said.iter().any(|(_, other)| longer(other)) {
                    add(About::Claim(fold(&claim.words[0])));
                }
            }
            let freed = |at: &usize| sentence.is(at + 1, Cue::Free);
            for at in (0..sentence.len()).filter(freed) {
                for sense in &sentence.pieces[at].senses {
                    if let Sense::Allergen(substances, _) = sense {
                        substances
                            .iter()
                            .for_each(|s| add(About::Contains(s.clone())));
                    }
                }
            }
            for sense in sentence.pieces.iter().flat_map(|piece| &piece.senses) {
                let Sense::Diet(condition, _) = sense else {
                    continue;
                };
                match condition.strip_prefix("free of ") {
                    Some(allergen) => add(About::Contains(allergen.replace('_', " "))),
                    None if ["vegan", "vegetarian"].contains(&condition.as_str()) => {
                        add(About::Diet(condition.clone()));
                    }
                    None => {}
                }
            }
        }
        (!about.is_empty()).then_some(Question::Assess { about })
    }

    /// `is E171 permitted`, `does this keep to the law`
    fn legal(
        &self,
        sentence: &mut Sentence,
        catalogue: &Catalogue,
        held: &[IngredientKey],
    ) -> Option<Question> {
        let jurisdictions = self.details("jurisdiction");
        let amount = self.has("asks amount");
        // `allowed daily intake` is a property; a maximum level is a question of law.
        let property = |word: &str| {
            sentence.pieces.iter().any(|piece| {
                let of = |s: &Sense| matches!(s, Sense::Property(id) if id != MAXIMUM);
                let text = format!(" {} ", fold(&piece.text));
                text.contains(&format!(" {word} ")) && piece.senses.iter().any(of)
            })
        };
        let mut asking = self.words.iter().filter(|met| met.word.meaning == "asks");
        let asked = asking.any(|met| !property(&met.word.word));
        let asks = asked || amount && !jurisdictions.is_empty();
        let barred = self.has("bars") && jurisdictions.is_empty();
        if !asks || barred || OTHER.iter().any(|cue| sentence.has(*cue)) {
            return None;
        }
        let class = self.class(catalogue);
        let (names, mut substances) = self.named(sentence, catalogue);
        let by_law = !substances.is_empty();
        for at in 0..sentence.len() {
            let piece = fold(&sentence.pieces[at].text);
            let within = |name: &String| format!(" {name} ").contains(&format!(" {piece} "));
            let dish = catalogue.classes.words.iter().any(|w| {
                w.class == class
                    && format!(" {} ", w.word).contains(&format!(" {piece} "))
                    && self.text.contains(&format!(" {} ", w.word))
            });
            let covered = dish || self.words.iter().any(|met| fold(&met.word.word) == piece);
            if names.iter().any(within) || sentence.dish(at).is_some() {
                sentence.take(at);
            } else if let (Some(candidates), false) = (sentence.ingredient(at), covered) {
                let ids = candidates.ids.clone();
                sentence.take(at);
                substances.extend(ids);
            }
        }
        let listed = |id: &String| catalogue.permissions.iter().any(|p| p.substance == *id);
        if jurisdictions.is_empty() && !by_law {
            substances.retain(listed);
        }
        // With a place named it is a question of law, though it may name no additive.
        let open = jurisdictions.is_empty() && held.is_empty() && !self.points();
        if substances.is_empty() && open {
            return None;
        }
        Some(Question::Legal {
            substances,
            class,
            jurisdictions,
        })
    }

    /// Whether it speaks of the formula in hand.
    fn points(&self) -> bool {
        let words = [" it ", " this ", " everything ", " my ", " these "];
        words.iter().any(|word| self.text.contains(word))
    }

    /// The names of the law that stand in the text, and the substances they mean; a longer name, of the
    /// law or of an ingredient, hides those inside it.
    fn named(&self, sentence: &Sentence, catalogue: &Catalogue) -> (Vec<String>, Vec<String>) {
        let mut met: Vec<(usize, usize, Vec<String>)> = vec![];
        for name in &catalogue.law.names {
            let pattern = format!(" {} ", name.name);
            let number = fold(&name.e_number).replace(' ', "");
            let coded = format!(" {number} ");
            for (at, found) in self.text.match_indices(&pattern) {
                met.push((at, found.len(), name.substances.clone()));
            }
            if !number.is_empty() && !number.contains("to") {
                for (at, found) in self.text.match_indices(&coded) {
                    met.push((at, found.len(), name.substances.clone()));
                }
            }
        }
        for ingredient in catalogue
            .ingredients
            .iter()
            .filter(|i| !i.e_number.is_empty())
        {
            let coded = format!(" {} ", fold(&ingredient.e_number).replace(' ', ""));
            for (at, found) in self.text.match_indices(&coded) {
                met.push((at, found.len(), vec![ingredient.id.clone()]));
            }
        }
        let ingredients: Vec<String> = (0..sentence.len())
            .filter(|&at| sentence.ingredient(at).is_some())
            .map(|at| format!(" {} ", fold(&sentence.pieces[at].text)))
            .collect();
        let hidden = |at: usize, len: usize| {
            let name = &self.text[at..at + len];
            let longer =
                |n: &(usize, usize, Vec<String>)| n.1 > len && n.0 <= at && at + len <= n.0 + n.1;
            met.iter().any(longer)
                || ingredients
                    .iter()
                    .any(|i| i.len() > len && i.contains(name))
        };
        let (mut names, mut found): (Vec<String>, Vec<String>) = (vec![], vec![]);
        for (at, len, substances) in met.iter().filter(|(at, len, _)| !hidden(*at, *len)) {
            names.push(self.text[*at..at + len].trim().to_string());
            for substance in substances {
                if !found.contains(substance) {
                    found.push(substance.clone());
                }
            }
        }
        (names, found)
    }

    /// The class of dish named, by the longest of its words; empty for none.
    fn class(&self, catalogue: &Catalogue) -> String {
        let words = catalogue.classes.words.iter().filter(|w| {
            catalogue.classes.get(&w.class).is_some()
                && self.text.contains(&format!(" {} ", w.word))
        });
        let best = words.max_by_key(|w| (w.weight, w.word.len()));
        best.map_or(String::new(), |w| w.class.clone())
    }

    /// `is it safe for someone with a nut allergy`, `how long does it keep`
    fn care(
        &self,
        sentence: &mut Sentence,
        catalogue: &Catalogue,
        held: &[IngredientKey],
    ) -> Option<Question> {
        let mut topics = self.details("topic");
        let asks = self.has("may") || self.has("asks") || self.has("asks amount");
        let asked = topics.iter().any(|t| ASKING.contains(&t.as_str())) || asks;
        let allergic = |at: usize| {
            let text = fold(&sentence.pieces[at].text);
            self.text.contains(&format!(" {text} allerg"))
                || self.text.contains(&format!("allergic to {text} "))
        };
        let other = |at: usize| {
            let figure = sentence.property(at).is_some_and(|id| id != "use_level");
            let kind = sentence.group(at).is_some() && sentence.ingredient(at).is_none();
            figure && sentence.ingredient(at).is_none()
                || kind && !allergic(at)
                || sentence.symptom(at).is_some_and(|(_, base)| !base)
                || sentence.is(at, Cue::Find)
                || sentence.phase(at) == Some("age")
        };
        // `out of the fridge` lacks nothing: a cue within the words of the topic is none of its own.
        let in_topic = |at: usize| {
            let text = format!(" {} ", fold(&sentence.pieces[at].text));
            let holds = |met: &Met| format!(" {} ", fold(&met.word.word)).contains(&text);
            self.words.iter().any(holds)
        };
        let cued = |at: usize| OTHER.iter().any(|cue| sentence.is(at, *cue));
        let away = (0..sentence.len()).any(|at| cued(at) && !in_topic(at));
        if topics.is_empty() || !asked || away || (0..sentence.len()).any(other) {
            return None;
        }
        let allergens = match topics.iter().any(|t| t == ALLERGY) {
            true => self.allergens(sentence, catalogue),
            false => vec![],
        };
        let mut ingredients: Vec<String> = vec![];
        for at in 0..sentence.len() {
            let text = fold(&sentence.pieces[at].text);
            let within = |met: &Met| {
                let mut parts = met
                    .word
                    .word
                    .split(GAP)
                    .map(|part| format!(" {} ", fold(part)));
                parts.any(|part| part.contains(&format!(" {text} ")))
            };
            let topic = self.words.iter().any(within);
            let avoided = allergens.contains(&text)
                || self.text.contains(&format!(" {text} allerg"))
                || self.text.contains(&format!("allergic to {text}"));
            if let Some(candidates) = sentence.ingredient(at)
                && !topic
                && !avoided
            {
                let id = candidates.ids[0].clone();
                let assumed = candidates.assumed.clone();
                if !ingredients.contains(&id) {
                    ingredients.push(id);
                }
                sentence.assume(&assumed);
                sentence.take(at);
            } else if avoided
                || sentence.dish(at).is_some()
                || sentence.phase(at).is_some()
                || sentence.number(at).is_some()
            {
                sentence.take(at);
            }
        }
        if topics.iter().any(|t| t == KEEPING) && !ingredients.is_empty() {
            return None;
        }
        if topics.iter().any(|t| t == ALLERGY) {
            if allergens.is_empty() || ingredients.is_empty() && held.is_empty() && !self.points() {
                return None;
            }
            topics.retain(|t| t == ALLERGY || !ASKING.contains(&t.as_str()));
        }
        Some(Question::Care {
            topics,
            ingredients,
            allergens,
        })
    }

    /// What somebody is said to be allergic to: what stands before `allergy` or after `allergic to`.
    fn allergens(&self, sentence: &Sentence, catalogue: &Catalogue) -> Vec<String> {
        let beside = |word: &str| {
            self.text.contains(&format!(" {word} allerg"))
                || self.text.contains(&format!(" allergic to {word} "))
                || self.text.contains(&format!(" allergic to {word}s "))
                || self.text.contains(&format!(" {word}s allerg"))
        };
        let mut found: Vec<String> = vec![];
        for at in 0..sentence.len() {
            let senses = sentence.pieces[at].senses.iter();
            let named = senses.filter_map(|s| match s {
                Sense::Allergen(substances, _) => Some(substances.clone()),
                _ => None,
            });
            if beside(&fold(&sentence.pieces[at].text)) {
                found.extend(named.flatten());
            }
        }
        let relatives = catalogue.relatives.iter();
        let known = relatives.flat_map(|r| [r.allergen.as_str(), r.relative.as_str()]);
        let known = known.chain(catalogue.allergens());
        found.extend(known.filter(|word| beside(word)).map(str::to_string));
        found.sort_unstable();
        found.dedup();
        found
    }
}

/// `e 171`, `ins 171`, `e-171` as `e171`.
fn numbered(folded: &str) -> String {
    let words: Vec<&str> = folded.split(' ').collect();
    let mut out: Vec<String> = vec![];
    let mut at = 0;
    while at < words.len() {
        let digits = |n: usize| {
            let next = words.get(n).copied().unwrap_or_default();
            next.len() >= 3 && next.starts_with(|c: char| c.is_ascii_digit())
        };
        if matches!(words[at], "e" | "ins") && digits(at + 1) {
            out.push(format!("e{}", words[at + 1]));
            at += 2;
        } else {
            out.push(words[at].trim_end_matches('.').to_string());
            at += 1;
        }
    }
    out.join(" ")
}
