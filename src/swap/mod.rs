//! The swap: a wish, candidates, every set of them examined, and the best explained.

mod acid;
mod bloom;
mod bound;
mod candidate;
mod caution;
mod confidence;
mod conflict;
mod explain;
mod frame;
mod job;
mod keep;
mod limits;
mod pass;
mod plan;
mod prefer;
mod rebalance;
mod refine;
mod search;
mod simplex;
mod target;

pub use acid::{SOURNESS, acidity, as_citric, sours};
pub use candidate::{Candidate, Candidates, limit, may_stand_in};
pub use caution::{Caution, called_for};
pub use conflict::Conflict;
pub use explain::Reason;
pub use frame::{DIALS, Frame, Row};
pub use job::{JobAsk, JobSwap, Unfrozen, by_job, concerns};
pub use keep::KEPT;
pub use plan::{Request, Swapped, Variant, swap, swap_watched};
pub use prefer::drawback;
pub use rebalance::{Edit, Rebalanced, rebalance};
pub use search::{Found, Free, Proof, Space, search};
pub use simplex::{Multipliers, Outcome, Program, UNKNOWNS};
pub use target::{Feel, KEEPS_DRY, Target, feels, feels_in, targets};
