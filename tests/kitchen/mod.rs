//! The shipped catalogue with its profiles, read once for a test program.

use std::sync::LazyLock;

use tamis::formula::Profile;
use tamis::load::Files;
use tamis::model::Catalogue;

pub struct Kitchen {
    pub catalogue: Catalogue,
    pub profiles: Vec<Profile>,
}

pub static KITCHEN: LazyLock<Kitchen> = LazyLock::new(|| {
    let catalogue = tamis::load::catalogue(&Files::embedded()).expect("shipped data load");
    let profiles = catalogue.ingredients.iter().map(Profile::of).collect();
    Kitchen {
        catalogue,
        profiles,
    }
});
