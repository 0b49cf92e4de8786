//! The steps from a typed name to an ingredient, surest first; each is tried only where those before
//! it found nothing.

use super::figure::{Figure, parted};
use super::grade::{define_syrup, graded};
use super::index::{NameIndex, bearers, core};
use super::slip;
use super::syrup_name::SyrupName;
use super::words::{Word, bag, words};
use super::{Outcome, Taken};
use crate::model::naming::Counted;
use crate::model::{Catalogue, IngredientKey, Meant, Qualifier, fold};

/// How many readings are offered.
const OFFERED: usize = 3;
/// From this per cent on a figure says that something is pure.
const PURE: f64 = 95.0;
/// Below this per cent a figure that is not known speaks of a solution.
const THINNED: f64 = 40.0;
/// How many words of a name are mended at once.
const MENDED: usize = 2;
/// From so many words on what stands behind a comma is a remark.
const REMARK: usize = 4;
/// A name longer than this is none, in characters.
const LONGEST: usize = 200;

/// What names are looked up in.
pub(super) struct Scope<'a> {
    pub catalogue: &'a Catalogue,
    pub index: &'a NameIndex,
}

/// What a typed name stands for.
pub(super) fn resolve(scope: &Scope<'_>, typed: &str) -> Outcome {
    let typed = typed.trim();
    if typed.is_empty() || typed.chars().count() > LONGEST {
        return nothing(vec![], None);
    }
    // An id of several words is written by programs; one of a single word is also what a cook types.
    let said = scope.catalogue.naming.meant.contains_key(&fold(typed)) && !typed.contains('-');
    if let Some(key) = scope.catalogue.key(typed).filter(|_| !said) {
        return Outcome::Taken(Taken::sure(key));
    }
    let steps: [&dyn Fn() -> Option<Outcome>; 9] = [
        &|| scope.plainly(typed),
        &|| scope.without_forms(typed),
        &|| scope.by_number(typed),
        &|| scope.two_names(typed),
        &|| scope.with_brackets_apart(typed),
        &|| scope.with_tail_apart(typed),
        &|| scope.first_of_alternatives(typed),
        &|| scope.with_slips_mended(typed),
        &|| scope.with_strange_words_aside(typed),
    ];
    let found = steps.iter().find_map(|step| step());
    found.unwrap_or_else(|| {
        let near = scope.index.near(&scope.mended(typed), OFFERED);
        nothing(near, None)
    })
}

/// The grade a whole text names, with no word of it dropped or mended.
pub(super) fn graded_name(scope: &Scope<'_>, typed: &str) -> Option<IngredientKey> {
    // An amount before a name is no grade: the figure stands last, or first with its per cent.
    let first = typed.split_whitespace().next()?;
    if first.starts_with(|c: char| c.is_ascii_digit())
        && !first.ends_with('%')
        && !typed.contains('%')
    {
        return None;
    }
    let parted = parted(typed, &scope.catalogue.naming);
    parted.iter().find_map(|parted| {
        let words = scope.words(&parted.rest);
        if words.is_empty() || words.iter().any(|w| w.qualifier == Some(Qualifier::Tail)) {
            return None;
        }
        let found = scope.in_words(&words)?;
        scope.graded(&found, &parted.figures)?.key()
    })
}

fn nothing(near: Vec<IngredientKey>, fault: Option<(String, String)>) -> Outcome {
    Outcome::Unknown { near, fault }
}

/// That a figure was left aside; 100 % of something is the thing itself.
fn left_aside(figure: &Figure) -> Option<String> {
    let whole = figure.percent && figure.number == 100.0;
    (!whole).then(|| format!("`{}` was left aside", figure.typed))
}

/// Longest code of a maker, in letters: `EK II`, `R2`.
const CODE: usize = 3;

/// Whether a word beside a name is a code or a figure rather than a word.
fn coded(token: &str) -> bool {
    let bare = token.trim_matches(|c: char| !c.is_alphanumeric());
    let letters = bare.chars().filter(|c| c.is_alphabetic());
    let capitals = bare
        .chars()
        .all(|c| c.is_ascii_uppercase() || c.is_ascii_digit());
    bare.is_empty()
        || bare.starts_with(|c: char| c.is_ascii_digit())
        || capitals && letters.count() <= CODE
}

/// Whether a word stands in capitals in a text, as the codes of makers do.
fn shouted(text: &str, word: &str) -> bool {
    let tokens = text.split(|c: char| !c.is_alphanumeric());
    let mut tokens = tokens.filter(|token| fold(token) == word);
    tokens.any(|token| token.len() > 1 && !token.contains(char::is_lowercase))
}

/// A text with a word of it, and the point that shortens it, replaced.
fn replaced(text: &str, word: &str, by: &str) -> String {
    let bare = |token: &str| fold(token.trim_matches(|c: char| !c.is_alphanumeric()));
    let tokens = text
        .split_whitespace()
        .map(|token| match bare(token) == word {
            true => token
                .trim_end_matches('.')
                .replace(token.trim_matches(|c: char| !c.is_alphanumeric()), by),
            false => token.to_string(),
        });
    tokens.collect::<Vec<_>>().join(" ")
}

impl Scope<'_> {
    fn words(&self, text: &str) -> Vec<Word> {
        words(text, &self.catalogue.naming)
    }

    /// What a figure counts.
    fn counted(&self, figure: &Figure) -> Option<&Counted> {
        self.catalogue.naming.counted.get(figure.unit.as_ref()?)
    }

    fn name(&self, key: IngredientKey) -> &str {
        &self.catalogue.ingredient(key).name
    }

    /// The whole text as a name, with or without a figure.
    fn plainly(&self, text: &str) -> Option<Outcome> {
        let exact = bearers(self.catalogue, text);
        if let Some(outcome) = self.decided(exact, self.catalogue.naming.meant.get(&fold(text))) {
            return Some(self.to_its_figure(outcome, text));
        }
        if let Some(name) = SyrupName::of(text, &self.catalogue.naming.syrups) {
            return Some(match define_syrup(self.catalogue, &name) {
                Ok(key) => Outcome::Taken(Taken::sure(key)),
                Err(fault) => nothing(vec![], Some(fault)),
            });
        }
        self.in_words(&self.words(text))
            .map(|found| self.to_its_figure(found, text))
            .or_else(|| self.with_figure(text))
            .or_else(|| self.by_core(&self.words(text)))
    }

    /// A name that is listed for a grade near its own figure comes to the grade it tells.
    fn to_its_figure(&self, found: Outcome, text: &str) -> Outcome {
        let parted = parted(text, &self.catalogue.naming);
        let mut graded = parted
            .iter()
            .filter_map(|p| self.graded(&found, &p.figures));
        let graded = graded.next();
        graded.unwrap_or(found)
    }

    /// These words in any order as a name.
    fn in_words(&self, words: &[Word]) -> Option<Outcome> {
        self.decided(self.index.named(words), self.index.meant(words))
    }

    /// These words as a name that differs in its qualifiers alone.
    fn by_core(&self, words: &[Word]) -> Option<Outcome> {
        if words.is_empty() || words.iter().all(|word| word.qualifier.is_some()) {
            return None;
        }
        let core = bag(core(words));
        let typed: Vec<&str> = words.iter().map(|word| word.stem.as_str()).collect();
        // Of the names with this core, those that share most qualifiers and add fewest.
        let weight = |entry: &super::index::Entry| {
            let shared = entry
                .qualifiers
                .iter()
                .filter(|q| typed.contains(&q.as_str()));
            let added = entry
                .qualifiers
                .iter()
                .filter(|q| !typed.contains(&q.as_str()));
            let shortened = i32::from(entry.shortened);
            4 * shared.count() as i32 - 2 * added.count() as i32 - shortened
        };
        let kin = self.index.kin(&core);
        let best = kin.iter().map(weight).max();
        let mut keys: Vec<IngredientKey> = vec![];
        for entry in kin.iter().filter(|entry| Some(weight(entry)) == best) {
            if !keys.contains(&entry.key) {
                keys.push(entry.key);
            }
        }
        // `organic unsweetened chocolate`: what the trade means by the words that tell these apart.
        let told = |word: &&Word| {
            let of = |entry: &&super::index::Entry| entry.qualifiers.contains(&word.stem);
            word.qualifier != Some(Qualifier::Plain)
                || kin
                    .iter()
                    .filter(|entry| Some(weight(entry)) == best)
                    .any(|e| of(&e))
        };
        let telling: Vec<Word> = words.iter().filter(told).cloned().collect();
        if telling.len() < words.len()
            && let Some(meant) = self.index.meant(&telling)
        {
            return self.decided(&keys, Some(meant));
        }
        // What the trade means by the bare words gives way to what the other words ask for.
        let of_best = |meant: &&Meant| {
            let mut ids = meant.ids.iter().filter_map(|id| self.catalogue.key(id));
            meant.ids.is_empty() || best <= Some(0) || ids.any(|key| keys.contains(&key))
        };
        self.decided(&keys, self.index.meant_by_core(&core).filter(of_best))
    }

    /// What several bearers of one name come to.
    fn decided(&self, keys: &[IngredientKey], meant: Option<&Meant>) -> Option<Outcome> {
        if let Some(meant) = meant.filter(|meant| !meant.ids.is_empty()) {
            let ids = meant.ids.iter().filter_map(|id| self.catalogue.key(id));
            let chosen: Vec<IngredientKey> = ids.collect();
            // A name of the person's own means their ingredient.
            let own = |key: &IngredientKey| self.catalogue.ingredient(*key).own;
            if !keys.iter().any(own) {
                return Some(match chosen.as_slice() {
                    [key] => {
                        let others = keys.iter().filter(|other| *other != key);
                        Outcome::Taken(Taken {
                            key: *key,
                            said: (!meant.reason.is_empty())
                                .then(|| meant.reason.clone())
                                .into_iter()
                                .collect(),
                            others: others.copied().take(OFFERED).collect(),
                            mended: false,
                        })
                    }
                    _ => Outcome::Choice {
                        options: chosen.into_iter().take(OFFERED).collect(),
                        reason: meant.reason.clone(),
                    },
                });
            }
        }
        match keys {
            [] => None,
            [key] => Some(Outcome::Taken(Taken::sure(*key))),
            several => Some(Outcome::Choice {
                options: several.iter().copied().take(OFFERED).collect(),
                reason: String::new(),
            }),
        }
    }

    /// A name with a figure that tells its grade: of the ways to read the figure the one that finds a
    /// grade, else the first that finds a name.
    fn with_figure(&self, text: &str) -> Option<Outcome> {
        let mut first = None;
        for parted in parted(text, &self.catalogue.naming) {
            let head = parted.rest.trim();
            if self.words(head).is_empty() {
                continue;
            }
            // `mango puree with 15 % sugar`: what led up to the figure goes with it.
            let mut words = self.words(head);
            while words.last().and_then(|word| word.qualifier) == Some(Qualifier::Tail) {
                words.pop();
            }
            let found = bearers(self.catalogue, head);
            let found = self
                .decided(found, self.catalogue.naming.meant.get(&fold(head)))
                .or_else(|| self.in_words(&words))
                .or_else(|| self.by_core(&words))
                .or_else(|| self.without_forms_in(&words));
            let Some(found) = found else { continue };
            match self.graded(&found, &parted.figures) {
                Some(outcome) => return Some(outcome),
                None => first = first.or(Some(self.ungraded(found, &parted.figures))),
            }
        }
        first
    }

    /// The grade that one of the figures asks for; `None` where no grade is told by any.
    fn graded(&self, found: &Outcome, figures: &[Figure]) -> Option<Outcome> {
        let heads = found.keys();
        let mut taken: Option<Taken> = None;
        let mut aside = vec![];
        for figure in figures {
            match graded(self.catalogue, &heads, figure) {
                Err(fault) => return Some(nothing(vec![], Some(fault))),
                Ok(Some(grade)) if taken.is_none() => {
                    let said = Some(grade.said).filter(|said| !said.is_empty());
                    taken = Some(Taken {
                        key: grade.key,
                        said: said.into_iter().collect(),
                        ..Taken::sure(grade.key)
                    });
                }
                Ok(_) => aside.extend(left_aside(figure)),
            }
        }
        let mut taken = taken?;
        taken.said.extend(aside);
        Some(Outcome::Taken(taken))
    }

    /// What a name comes to whose figures tell no grade: it is left aside and told; of a per cent of
    /// nobody knows what, what it would change is asked.
    fn ungraded(&self, found: Outcome, figures: &[Figure]) -> Outcome {
        let known = |figure: &Figure| found.key().is_some_and(|key| self.holds(key, figure));
        let figures: Vec<&Figure> = figures.iter().filter(|figure| !known(figure)).collect();
        let bare = |figure: &&&Figure| {
            let added = self.counted(figure).is_some_and(|counted| counted.added);
            (figure.unit.is_none() || added) && figure.percent && left_aside(figure).is_some()
        };
        // Of one thing alone a larger share is how pure it is; a small one is a solution of it.
        let one = found.key().is_some() || found.keys().len() == 1;
        let thinned = |figure: &&Figure| !one || figure.number < THINNED;
        let unclear = figures.iter().find(bare).copied();
        if let Some(figure) = unclear.filter(|figure| thinned(figure)) {
            return Outcome::Choice {
                options: found.keys().into_iter().take(OFFERED).collect(),
                reason: format!("what `{}` counts is not known here", figure.typed),
            };
        }
        match found {
            Outcome::Taken(mut taken) => {
                taken
                    .said
                    .extend(figures.into_iter().filter_map(left_aside));
                Outcome::Taken(taken)
            }
            other => other,
        }
    }

    /// Whether a figure tells what is known of an ingredient anyway: it stands in its name, or is one
    /// of its parts or its purity.
    fn holds(&self, key: IngredientKey, figure: &Figure) -> bool {
        let ingredient = self.catalogue.ingredient(key);
        let near = |known: f64| (known - figure.number).abs() <= (0.03 * known).max(0.5);
        let named = parted(&ingredient.name, &self.catalogue.naming);
        let mut named = named.iter().flat_map(|p| &p.figures);
        let parts = ingredient
            .values
            .iter()
            .filter(|v| v.unit == "g/100 g" || v.property == "brix");
        let counted = self.counted(figure).and_then(|c| c.property.as_deref());
        let parts = parts.filter(|v| counted.is_none_or(|counted| v.property == counted));
        let mut parts = parts.filter_map(|v| v.figure());
        let solids = ingredient.number("water").map(|water| 100.0 - water);
        figure.percent && figure.number >= PURE
            || named.any(|f| near(f.number))
            || parts.any(near)
            || counted.is_none_or(|counted| counted == "brix") && solids.is_some_and(near)
    }

    /// `monk fruit extract (mogrosides)`: what stands in brackets confirms, narrows or is told.
    fn with_brackets_apart(&self, text: &str) -> Option<Outcome> {
        let (open, close) = (text.find('(')?, text.rfind(')')?);
        let inner = text.get(open + 1..close)?.trim();
        let outer = format!("{} {}", &text[..open], &text[close + 1..]);
        let outer = outer.trim();
        let inside = (!inner.is_empty()).then(|| self.plainly(inner)).flatten();
        let Some(outside) = self.either_way(outer) else {
            return inside.filter(|_| !outer.is_empty() && self.all_unknown(outer));
        };
        let narrowed = inside.as_ref().and_then(|inside| {
            let inside = inside.keys();
            let both = |key: &IngredientKey| inside.contains(key);
            outside.keys().into_iter().find(both)
        });
        if let Some(key) = narrowed {
            return Some(Outcome::Taken(Taken::sure(key)));
        }
        // `raspberry puree (10 % sugar, thawed)`: of several things in brackets one may tell the grade.
        let parts: Vec<&str> = inner.split([',', ';']).map(str::trim).collect();
        let graded = parts.iter().enumerate().find_map(|(n, part)| {
            let figured = parts.len() > 1 && part.contains(|c: char| c.is_ascii_digit());
            let found = figured.then(|| self.either_way(&format!("{outer}, {part}")))??;
            found.key().filter(|key| Some(*key) != outside.key())?;
            let rest: Vec<&str> = (parts.iter().enumerate())
                .filter(|(at, _)| *at != n)
                .map(|(_, part)| *part)
                .collect();
            Some((found, rest.join(", ")))
        });
        if let Some((found, rest)) = graded {
            return Some(self.told(found, Some(format!("`({rest})` was left aside"))));
        }
        // `cream (35 % fat)` and `butter (salted)` were read as a whole; what is left is a remark.
        let plain = |word: &Word| word.qualifier == Some(Qualifier::Plain);
        let telling = !self.words(inner).iter().all(plain);
        Some(self.told(
            outside,
            telling.then(|| format!("`({inner})` was left aside")),
        ))
    }

    /// `lemon juice, from 2 lemons`, `butter for greasing`: a tail that names nothing else.
    fn with_tail_apart(&self, text: &str) -> Option<Outcome> {
        let signs = [", ", " - ", " – ", "; ", ": ", " w/"]
            .into_iter()
            .map(str::to_string);
        let naming = &self.catalogue.naming;
        let remarks = naming
            .qualifiers
            .iter()
            .filter(|(_, kind)| **kind == Qualifier::Tail);
        let remarks = remarks.map(|(word, _)| format!(" {} ", word.replace('_', " ")));
        let lower = format!("{} ", text.to_lowercase());
        let cuts: Vec<String> = signs.chain(remarks).collect();
        let places = cuts.iter().flat_map(|cut| {
            let found = lower.match_indices(cut.as_str()).map(|(at, _)| at);
            found
                .filter(|at| text.is_char_boundary(*at))
                .collect::<Vec<_>>()
        });
        let mut places: Vec<usize> = places.collect();
        places.sort_unstable();
        for at in places.into_iter().rev() {
            let (head, tail) = (
                text[..at].trim(),
                text[at..].trim_start_matches([',', '-', '–', ';', ':', ' ']),
            );
            let Some(found) = self.either_way(head) else {
                continue;
            };
            let head_words = self.words(head);
            // A word that makes another thing of what the head names: `milk, coconut`.
            let alone = |word: &Word| !self.index.named(std::slice::from_ref(word)).is_empty();
            let turns = |word: &Word| {
                let meant = found.keys();
                let other = head_words
                    .last()
                    .is_some_and(|noun| self.index.joins(&noun.stem, &word.stem, &meant));
                alone(word) || other
            };
            let harmless = |word: &Word| {
                word.qualifier.is_some()
                    || word.typed.starts_with(|c: char| c.is_ascii_digit())
                    || !turns(word)
                    || head_words.iter().any(|other| other.stem == word.stem)
            };
            let tail_words = self.words(tail);
            let first = tail_words.first();
            // Many words behind a comma that name nothing are a remark: `lemon juice, fresh not the
            // bottled stuff`.
            let wordy = text[at..].starts_with(',') && tail.split_whitespace().count() >= REMARK;
            let remark = first.is_some_and(|word| word.qualifier == Some(Qualifier::Tail))
                || wordy && !tail_words.iter().any(alone);
            if !remark && !tail_words.iter().all(harmless) {
                continue;
            }
            let plain = tail_words
                .iter()
                .all(|w| w.qualifier == Some(Qualifier::Plain));
            return Some(self.told(found, (!plain).then(|| format!("`{tail}` was left aside"))));
        }
        None
    }

    /// `rapeseed or sunflower oil`: the first that is known.
    fn first_of_alternatives(&self, text: &str) -> Option<Outcome> {
        if let Some(mixed) = self.mixed(text) {
            return Some(mixed);
        }
        let parts = [" or ", " oder ", " ou ", " o ", "/"];
        let (at, length) = parts
            .iter()
            .find_map(|part| Some((text.find(part)?, part.len())))?;
        let (first, second) = (text[..at].trim(), text[at + length..].trim());
        let said = |rest: &str| Some(format!("`{rest}` was left aside"));
        if let Some(found) = self.either_way(first) {
            return Some(self.told(found, said(second)));
        }
        // `rapeseed or sunflower oil` shares its noun.
        let noun = second.rsplit(' ').next().unwrap_or_default();
        if let Some(found) = self.either_way(&format!("{first} {noun}")) {
            return Some(self.told(found, said(second)));
        }
        let found = self.either_way(second)?;
        Some(self.told(found, said(first)))
    }

    /// `LBG/guar blend`, `blend of guar and tara`: things mixed in shares that are not said are none of
    /// them alone.
    fn mixed(&self, text: &str) -> Option<Outcome> {
        let mixing = &self.catalogue.naming.mixing;
        let mixes = |word: &str| mixing.contains(&fold(word.trim_matches(['(', ')', ',', '.'])));
        let links = |word: &str| {
            self.catalogue.naming.qualifiers.get(&fold(word)) == Some(&Qualifier::Link)
        };
        let mut mixed = false;
        let rest: Vec<&str> = (text.split_whitespace())
            .map(|word| match (mixes(word), links(word)) {
                (true, _) => {
                    mixed = true;
                    ""
                }
                (_, true) => "/",
                _ => word,
            })
            .collect();
        let rest = rest.join(" ");
        let parts = rest.split(['/', '+', '&', ',', '(', ')']).map(str::trim);
        let parts: Vec<&str> = parts.filter(|part| !part.is_empty()).collect();
        if !mixed || parts.len() < 2 {
            return None;
        }
        let keys: Option<Vec<IngredientKey>> = (parts.iter())
            .map(|part| self.either_way(part)?.key())
            .collect();
        Some(Outcome::Choice {
            options: keys?.into_iter().take(OFFERED).collect(),
            reason: "a blend of these: write each with its own amount, or their shares".into(),
        })
    }

    /// A name whose form no row covers, such as `toasted hazelnuts, chopped`.
    fn without_forms(&self, text: &str) -> Option<Outcome> {
        self.without_forms_in(&self.words(text))
    }

    fn without_forms_in(&self, words: &[Word]) -> Option<Outcome> {
        let (forms, rest): (Vec<Word>, Vec<Word>) =
            (words.iter().cloned()).partition(|word| word.qualifier == Some(Qualifier::Form));
        if forms.is_empty() || rest.is_empty() {
            return None;
        }
        // A form may itself be part of the name: drop as few as possible.
        let mut kept: Vec<Vec<&Word>> = vec![];
        // The form typed first is the likeliest to be part of the name.
        for skip in forms.iter().rev() {
            let others: Vec<&Word> = forms.iter().filter(|other| *other != skip).collect();
            if !others.is_empty() {
                kept.push(others);
            }
        }
        kept.push(vec![]);
        for keep in kept {
            let trial: Vec<Word> = rest.iter().chain(keep.iter().copied()).cloned().collect();
            let found = self.in_words(&trial).or_else(|| self.by_core(&trial));
            if let Some(found) = found {
                let dropped: Vec<&str> = forms
                    .iter()
                    .filter(|form| !keep.contains(form))
                    .map(|form| form.typed.as_str())
                    .collect();
                let said = format!(
                    "the figures are not those of the {} form",
                    dropped.join(" ")
                );
                return Some(self.told(found, Some(said)));
            }
        }
        None
    }

    fn either_way(&self, text: &str) -> Option<Outcome> {
        self.plainly(text).or_else(|| self.without_forms(text))
    }

    /// Two names of one thing side by side: `E1442 waxy maize starch`.
    fn two_names(&self, text: &str) -> Option<Outcome> {
        let words: Vec<&str> = text.split_whitespace().collect();
        (1..words.len().min(5)).find_map(|cut| {
            let (first, second) = (words[..cut].join(" "), words[cut..].join(" "));
            let (one, two) = (self.plainly(&first)?.keys(), self.plainly(&second)?.keys());
            let both = one.iter().find(|key| two.contains(key)).copied();
            // A number is the surer of two names of one family.
            let family = |key: &IngredientKey| &self.catalogue.ingredient(*key).family;
            let numbered = first.to_lowercase().starts_with('e')
                && first.ends_with(|c: char| c.is_ascii_digit());
            let kin = one
                .first()
                .filter(|key| numbered && two.iter().any(|other| family(other) == family(key)));
            Some(Outcome::Taken(Taken::sure(both.or(kin.copied())?)))
        })
    }

    /// `Kappa carr. E407`, `E322 sunflower, liquid`: of the bearers of a number those that the other
    /// words speak of.
    fn by_number(&self, text: &str) -> Option<Outcome> {
        let words = self.words(text);
        let number = |word: &&Word| {
            let rest = word.typed.strip_prefix('e');
            rest.is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
        };
        let numbered = words.iter().find(number)?;
        // `E965ii` is a kind of E965.
        let plain = numbered.typed.trim_end_matches(['i', 'v']);
        let exact = bearers(self.catalogue, &numbered.typed);
        let all = match exact.is_empty() {
            true => bearers(self.catalogue, plain),
            false => exact,
        };
        let others: Vec<&Word> = words.iter().filter(|word| *word != numbered).collect();
        let spoken = |key: &IngredientKey| {
            let of = |word: &&&Word| self.index.speaks(&word.stem, *key);
            others.iter().filter(of).count()
        };
        // `E331iii` alone is one of the kinds of E331.
        let alone = others.is_empty() && exact.is_empty();
        let most = all.iter().map(spoken).max();
        let most = most.filter(|most| *most > 0 || alone)?;
        // A word that is known and speaks of none of them names something else.
        let strange = |word: &&&Word| {
            word.qualifier.is_none()
                && self.index.vocabulary.contains_key(&word.stem)
                && !all.iter().any(|key| self.index.speaks(&word.stem, *key))
        };
        if others.iter().any(|word| strange(&word)) {
            return None;
        }
        let best: Vec<IngredientKey> = all
            .iter()
            .copied()
            .filter(|key| spoken(key) == most)
            .collect();
        let meant = self.catalogue.naming.meant.get(plain).filter(|meant| {
            let keys = meant.ids.iter().filter_map(|id| self.catalogue.key(id));
            keys.collect::<Vec<_>>()
                .iter()
                .all(|key| best.contains(key))
        });
        self.decided(&best, meant)
    }

    /// A name with words beside it that no name holds: codes and figures of a maker are left aside and
    /// told; of a word nobody knows, whether the thing is meant is asked.
    fn with_strange_words_aside(&self, text: &str) -> Option<Outcome> {
        let tokens: Vec<&str> = text.split_whitespace().collect();
        // A maker's code may be a word of some other name.
        [false, true].into_iter().find_map(|codes| {
            let known = |token: &&str| {
                let figure = token.starts_with(|c: char| c.is_ascii_digit());
                let named = || !self.index.named(&self.words(token)).is_empty();
                let code = figure || codes && coded(token) && !named();
                !code
                    && self
                        .words(token)
                        .iter()
                        .all(|word| slip::known(word, self.index))
            };
            let (kept, strange): (Vec<&str>, Vec<&str>) =
                tokens.iter().partition(|token| known(token));
            if kept.is_empty() || strange.is_empty() {
                return None;
            }
            let found = self.either_way(kept.join(" ").trim_end_matches([',', ';']))?;
            let shown = strange.join(" ");
            let shown = shown.trim_matches([',', ';']);
            if strange.iter().all(|token| coded(token)) {
                return Some(self.told(found, Some(format!("`{shown}` was left aside"))));
            }
            let near = found.keys().into_iter().take(OFFERED).collect();
            Some(nothing(near, None))
        })
    }

    /// A name with words mistyped or shortened.
    fn with_slips_mended(&self, text: &str) -> Option<Outcome> {
        let typed = self.words(text);
        let unknown: Vec<usize> = (0..typed.len())
            .filter(|&n| !slip::known(&typed[n], self.index))
            .collect();
        let short = || {
            let short = |n: &usize| slip::shortens(&typed[*n]);
            (0..typed.len()).filter(short).collect::<Vec<_>>()
        };
        let mended = self.mended_at(text, &typed, &unknown);
        // What no name holds together may be short for something else: `pot starch`.
        let foods = &self.catalogue.naming.foods;
        let bare = |word: &Word| word.qualifier.is_none() && !foods.contains(&word.typed);
        let plain = typed.len() == 2 && !text.contains([',', '(', ';']) && typed.iter().all(bare);
        let shortened = || match unknown.is_empty() && plain {
            true => (short().into_iter()).find_map(|n| self.mended_at(text, &typed, &[n])),
            false => None,
        };
        mended.or_else(shortened)
    }

    /// A name with the words at these places mended.
    fn mended_at(&self, text: &str, typed: &[Word], places: &[usize]) -> Option<Outcome> {
        // Three letters alone are the beginning of too much.
        let code = typed.len() == 1 && !text.ends_with('.') && slip::short(&typed[0]);
        if places.is_empty() || places.len() > MENDED || code {
            return None;
        }
        let choices: Vec<Vec<String>> = places
            .iter()
            .map(|&n| {
                let beside = typed.len() > 1 && !shouted(text, &typed[n].typed);
                let foods = &self.catalogue.naming.foods;
                let mut meant = slip::meant(&typed[n], beside, self.index, foods);
                // A word that names something is short for no form: `zest` is no `zested`.
                let known = slip::known(&typed[n], self.index);
                let form = |word: &String| self.words(word).iter().any(|w| w.qualifier.is_some());
                meant.retain(|word| !known || !form(word));
                meant
            })
            .collect();
        let first = choices.first()?;
        let second: Vec<Option<&String>> = match choices.get(1) {
            Some(second) => second.iter().map(Some).collect(),
            None => vec![None],
        };
        for one in first {
            for two in &second {
                let mut mended = text.to_lowercase();
                for (&at, word) in places.iter().zip([Some(one), *two]) {
                    if let Some(word) = word {
                        mended = replaced(&mended, &typed[at].typed, word);
                    }
                }
                if let Some(found) = self.either_way(&mended) {
                    let name = found.keys().first().map(|key| self.name(*key).to_string());
                    let said = name.map(|name| format!("`{text}` read as {name}"));
                    return Some(match self.told(found, said) {
                        Outcome::Taken(taken) => Outcome::Taken(Taken {
                            mended: true,
                            ..taken
                        }),
                        other => other,
                    });
                }
            }
        }
        None
    }

    /// The words with slips mended where that is plain, for what is near.
    fn mended(&self, text: &str) -> Vec<Word> {
        let mend = |word: Word| match slip::known(&word, self.index) {
            true => word,
            false => {
                match slip::meant(&word, false, self.index, &self.catalogue.naming.foods).first() {
                    Some(meant) => self.words(meant).pop().unwrap_or(word),
                    None => word,
                }
            }
        };
        self.words(text).into_iter().map(mend).collect()
    }

    /// Whether no name holds any of the words.
    fn all_unknown(&self, text: &str) -> bool {
        let words = self.words(text);
        words
            .iter()
            .all(|word| !self.index.vocabulary.contains_key(&word.stem))
    }

    fn told(&self, outcome: Outcome, said: Option<String>) -> Outcome {
        match outcome {
            Outcome::Taken(mut taken) => {
                taken.said.extend(said);
                Outcome::Taken(taken)
            }
            other => other,
        }
    }
}
