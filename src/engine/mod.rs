//! The one door: every face asks here and gets the same answer.

mod ask;
mod assess;
mod care;
mod compare;
mod complaint;
mod completeness;
mod covers;
mod fault;
mod firm;
mod known;
mod label;
mod law;
mod length;
mod mark;
mod own;
mod plan;
mod reading;
mod reference;
mod relatives;
mod remedy;
mod search;
mod sheet;
mod show;
mod summary;
mod swapping;
mod taken;
mod tell;
mod together;
mod usual;
mod verdict;
mod wanted;
mod what_if;

use std::path::Path;

use crate::answer::{Told, Versions};
use crate::diagnostic::Problems;
use crate::formula::sheet::Words;
use crate::formula::{Assessor, Profiles};
use crate::index::Index;
use crate::load::Files;
use crate::model::Catalogue;
use crate::names::{self, Names};
use crate::store;

pub use assess::AssessOptions;
pub use label::LabelOptions;
pub use length::{LONGEST_TEXT, fits};
pub use reading::ReadOptions;
pub use reference::REFERENCES;
pub use search::SearchRequest;
pub use summary::{figure, told_figure, usual};
pub use swapping::{AdjustRequest, SubstituteRequest, SwapOptions, number};
pub use wanted::Wanted;

/// Share of the water frozen at serving temperature that scoops, %: common range of shop ice cream at its serving temperature.
/// Source: memory (a published curve has 68 to 75 % at -10 to -13 C).
pub const SCOOPABLE: (f64, f64) = (68.0, 75.0);

/// All that is known, ready to answer.
pub struct Engine {
    /// What is known.
    pub catalogue: Catalogue,
    /// One profile per ingredient.
    profiles: Profiles,
    /// Resolves names.
    names: Names,
    /// Words of formula files.
    words: Words,
    /// The search index.
    index: Index,
    /// The texts it was built from.
    files: Files,
    /// Where the built store lies, when one could be written.
    pub folder: Option<std::path::PathBuf>,
    /// Told how far a search has come.
    watch: Watch,
}

/// Told how many sets a search went through, of how many; from any thread.
pub type Watch = Box<dyn Fn(u64, u64) + Send + Sync>;

impl Engine {
    /// Opens the knowledge base of `files`, with its cache below `folder`.
    ///
    /// Errors: the problems of the data.
    pub fn open(files: Files, folder: Option<&Path>) -> Result<Self, Problems> {
        let mut cache = store::open(&files, folder)?;
        let rules = names::sources().map(|source| (source.id.clone(), source));
        cache.catalogue.sources.extend(rules);
        let profiles = Profiles::of(&cache.catalogue);
        Ok(Engine {
            catalogue: cache.catalogue,
            profiles,
            names: Names::default(),
            words: Words::of(&files),
            index: cache.index,
            files,
            folder: cache.folder,
            watch: Box::new(|_, _| {}),
        })
    }

    /// The same engine, whose searches tell how far they have come.
    pub fn watched(mut self, watch: Watch) -> Self {
        self.watch = watch;
        self
    }

    /// Computes states of formulas.
    pub fn assessor(&self) -> Assessor<'_> {
        Assessor {
            catalogue: &self.catalogue,
            profiles: &self.profiles,
        }
    }

    /// Ids and names of ingredients and ids of properties, sorted, for what completes them.
    pub fn known_names(&self) -> Vec<String> {
        let ingredients = self.catalogue.ingredients.iter();
        let mut names: Vec<String> = ingredients
            .flat_map(|i| [i.id.clone(), i.name.clone()])
            .chain(self.catalogue.properties.iter().map(|p| p.id.clone()))
            .collect();
        names.sort();
        names.dedup();
        names
    }

    /// The formulas that come with the program, by name: `hazelnut-gelato`.
    pub fn shipped(&self) -> impl Iterator<Item = (&str, &str)> {
        let files = self.files.below("data/formulas/", ".csv");
        files.map(|(path, text)| {
            let name = path.trim_start_matches("data/formulas/");
            (name.trim_end_matches(".csv"), text)
        })
    }

    /// Writes the whole knowledge base as a database.
    ///
    /// Errors: what the database or the file system says.
    pub fn write_database(&self, path: &Path) -> Result<(), Box<dyn std::error::Error>> {
        Ok(store::write(path, &self.catalogue, &self.files)?)
    }

    /// An answer as other programs get it, with the versions it rests on.
    pub fn stamped<A>(&self, answer: A) -> Told<A> {
        Told {
            versions: self.versions(),
            own_data: self.own().map(str::to_string),
            answer,
        }
    }

    /// The versions its answers rest on.
    pub fn versions(&self) -> Versions {
        versions(Some(&self.files))
    }

    /// The folder of the person's own data, as it was named.
    pub fn own(&self) -> Option<&str> {
        self.files.own().map(|own| own.folder.as_str())
    }
}

/// The versions that answers from these files rest on; without files those of the program alone.
pub fn versions(files: Option<&Files>) -> Versions {
    let edition = |files: &Files| {
        let text = files.text("data/edition.toml").unwrap_or_default();
        text.split('"').nth(1).unwrap_or_default().to_string()
    };
    Versions {
        tamis: env!("CARGO_PKG_VERSION").into(),
        data_version: files.map(|files| files.version.clone()),
        data_date: files.map(edition),
    }
}
