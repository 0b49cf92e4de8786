//! The engine on the shipped data, opened once for a test program.

use std::sync::OnceLock;

use tamis::engine::Engine;
use tamis::load::Files;

pub fn engine() -> &'static Engine {
    static ENGINE: OnceLock<Engine> = OnceLock::new();
    ENGINE.get_or_init(|| Engine::open(Files::embedded(), None).expect("the data is sound"))
}
