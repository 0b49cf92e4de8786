//! The shipped catalogue with its profiles, read once for a test program.

use std::collections::HashMap;
use std::sync::LazyLock;

use tamis::diagnostic::Problems;
use tamis::formula::sheet::Words;
use tamis::formula::{Formula, Profiles, Reader};
use tamis::load::Files;
use tamis::model::Catalogue;
use tamis::names::Names;

pub struct Kitchen {
    pub catalogue: Catalogue,
    #[allow(dead_code)] // not every test program works out states
    pub profiles: Profiles,
    pub names: Names,
    pub words: Words,
}

pub static KITCHEN: LazyLock<Kitchen> = LazyLock::new(|| {
    let files = Files::embedded();
    let catalogue = tamis::load::catalogue(&files).expect("shipped data load");
    Kitchen {
        profiles: Profiles::of(&catalogue),
        names: Names::default(),
        words: Words::of(&files),
        catalogue,
    }
});

impl Kitchen {
    /// Reads a formula as the program does.
    #[allow(dead_code)] // not every test program reads formulas
    pub fn read(&self, file: &str, bytes: &[u8]) -> Result<Formula, Problems> {
        let reader = Reader {
            catalogue: &self.catalogue,
            names: &self.names,
            words: &self.words,
            batch: None,
            picks: &HashMap::new(),
        };
        reader.read(file, None, bytes)
    }
}
