//! How far a long search has come: one line on the terminal, gone when the answer is there.

use std::io::{IsTerminal, Write as _};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use crate::engine::Watch;

/// A search shorter than this shows nothing.
const PATIENCE: Duration = Duration::from_millis(300);
/// Time between two figures.
const PACE: Duration = Duration::from_millis(100);

/// What shows a search, where standard error is a terminal; `None` where nobody would see it.
pub fn watch() -> Option<Watch> {
    if !std::io::stderr().is_terminal() {
        return None;
    }
    let next = Mutex::new(Instant::now());
    let shown = Mutex::new(false);
    Some(Box::new(move |done, total| {
        // Another thread is at it: this figure is not missed.
        let (Ok(mut next), Ok(mut shown)) = (next.try_lock(), shown.try_lock()) else {
            return;
        };
        let now = Instant::now();
        if done == 0 {
            *next = now + PATIENCE;
        } else if done < total && now >= *next {
            *next = now + PACE;
            *shown = true;
            say(&line(done, total));
        } else if done >= total && std::mem::take(&mut *shown) {
            say(CLEARED);
        }
    }))
}

/// An empty line.
const CLEARED: &str = "\r\x1b[K";

/// The line in the place of the one before.
fn line(done: u64, total: u64) -> String {
    let percent = 100 * done / total.max(1);
    format!("{CLEARED}{percent} % of {total} sets examined")
}

/// Writes to the terminal; one that is gone is no error.
fn say(text: &str) {
    let mut out = std::io::stderr().lock();
    let _ = out.write_all(text.as_bytes()).and_then(|()| out.flush());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_tells_the_share_and_takes_the_place_of_the_last() {
        assert_eq!(line(335, 670), "\r\x1b[K50 % of 670 sets examined");
        assert_eq!(line(0, 0), "\r\x1b[K0 % of 0 sets examined");
    }

    #[test]
    fn without_a_terminal_nothing_is_shown() {
        // Test runs have no terminal on standard error unless a person starts them by hand.
        if !std::io::stderr().is_terminal() {
            assert!(watch().is_none());
        }
    }
}
