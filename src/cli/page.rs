//! Text laid out for a terminal: wrapped to its width, bold where it helps, plain in a pipe.

use std::fmt::Write as _;

use anstyle::{AnsiColor, Style};

use crate::model::Severity;

/// Widest page; longer lines are hard to read.
const WIDEST: usize = 100;
/// Narrowest page worth laying out for.
const NARROWEST: usize = 40;

/// A page under construction. Styles are stripped later where the output is no terminal.
pub struct Page {
    text: String,
    width: usize,
}

impl Page {
    /// An empty page as wide as the terminal.
    pub fn new() -> Self {
        let columns = std::env::var("COLUMNS").ok().and_then(|c| c.parse().ok());
        let width = columns
            .unwrap_or_else(textwrap::termwidth)
            .clamp(NARROWEST, WIDEST);
        Page {
            text: String::new(),
            width,
        }
    }

    /// The page as text.
    pub fn text(self) -> String {
        self.text
    }

    /// How wide it is.
    pub fn width(&self) -> usize {
        self.width
    }

    /// An empty line, never two.
    pub fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }

    /// A heading.
    pub fn head(&mut self, text: &str) {
        let bold = Style::new().bold();
        let options = textwrap::Options::new(self.width)
            .subsequent_indent("   ")
            .break_words(false);
        for line in textwrap::wrap(text, options) {
            let _ = writeln!(self.text, "{bold}{line}{bold:#}");
        }
    }

    /// A line as it stands.
    pub fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// Text that a program reads back, as it stands.
    pub fn raw(&mut self, text: &str) {
        self.text.push_str(text);
    }

    /// Wrapped text behind a label; further lines hang below the first.
    pub fn labelled(&mut self, label: &str, text: &str) {
        let hang = " ".repeat(label.chars().count());
        let options = textwrap::Options::new(self.width)
            .initial_indent(label)
            .subsequent_indent(&hang)
            .break_words(false);
        for line in textwrap::wrap(text, options) {
            self.line(&line);
        }
    }

    /// Wrapped text behind a coloured label.
    pub fn marked(&mut self, severity: Severity, label: &str, text: &str) {
        let style = match severity {
            Severity::Stop => Style::new().bold().fg_color(Some(AnsiColor::Red.into())),
            Severity::Watch => Style::new().fg_color(Some(AnsiColor::Yellow.into())),
            Severity::Info => Style::new(),
        };
        let start = self.text.len();
        self.labelled(label, text);
        if style != Style::new() {
            let word = label.trim_start();
            let at = start + (label.len() - word.len());
            let end = at + word.trim_end().len();
            self.text.insert_str(end, &format!("{style:#}"));
            self.text.insert_str(at, &format!("{style}"));
        }
    }
}

/// Text padded to a width by characters; longer text is left as it is.
pub fn pad(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.chars().count());
    format!("{text}{}", " ".repeat(missing))
}

/// Text padded on the left.
pub fn right(text: &str, width: usize) -> String {
    let missing = width.saturating_sub(text.chars().count());
    format!("{}{text}", " ".repeat(missing))
}

/// `source, locator`, or the source alone.
pub fn cited(source: &str, locator: &str) -> String {
    // Our own equations are no book to look into.
    let source = match source.strip_prefix("physics::") {
        Some(part) => &format!("computed, {}", part.replace('_', " ")),
        None => source,
    };
    if locator.is_empty() {
        format!("[{source}]")
    } else {
        format!("[{source}, {locator}]")
    }
}
