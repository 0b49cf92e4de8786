//! Kinds of dish, by what makes them stand.

/// What a formula is to become.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DishKind {
    /// Frozen and eaten frozen: ice cream, sorbet, granita.
    #[default]
    Frozen,
    /// Set by a gelling agent and eaten unfrozen: panna cotta, jelly.
    Gel,
    /// Bound by starch, flour or egg and eaten unfrozen: sauce, custard.
    Thickened,
    /// Unfrozen and neither: cake, ganache, drink.
    Other,
}

impl DishKind {
    /// All of them.
    pub const ALL: [DishKind; 4] = [
        DishKind::Frozen,
        DishKind::Gel,
        DishKind::Thickened,
        DishKind::Other,
    ];

    /// As conditions write it.
    pub fn word(self) -> &'static str {
        match self {
            DishKind::Frozen => "frozen",
            DishKind::Gel => "gel",
            DishKind::Thickened => "thickened",
            DishKind::Other => "other",
        }
    }
}
