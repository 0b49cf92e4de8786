//! Kinds of dish, by what makes them stand.

use super::closed::closed;

closed! {
    /// What a formula is to become.
    #[derive(Default)]
    pub enum DishKind {
        /// Frozen and eaten frozen: ice cream, sorbet, granita.
        #[default]
        Frozen => "frozen",
        /// Set by a gelling agent and eaten unfrozen: panna cotta, jelly.
        Gel => "gel",
        /// Bound by starch, flour or egg and eaten unfrozen: sauce, custard.
        Thickened => "thickened",
        /// Unfrozen and neither: cake, ganache, drink.
        Other => "other",
    }
}
