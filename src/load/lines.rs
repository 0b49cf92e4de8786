//! The lines of a text, found once.

/// A text that knows where its lines begin.
#[derive(Debug, Clone)]
pub struct Lines<'a> {
    text: &'a str,
    /// The byte each line begins at.
    starts: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// Finds the lines of a text.
    pub fn of(text: &'a str) -> Self {
        let ends = text.match_indices('\n').map(|(end, _)| end + 1);
        Lines {
            text,
            starts: std::iter::once(0).chain(ends).collect(),
        }
    }

    /// The text of a line, from 1, without its end; empty where there is none.
    pub fn line(&self, number: usize) -> &'a str {
        let Some(at) = number.checked_sub(1).filter(|&at| at < self.starts.len()) else {
            return "";
        };
        let end = self.starts.get(at + 1).copied();
        let line = &self.text[self.starts[at]..end.unwrap_or(self.text.len())];
        match line.strip_suffix('\n') {
            Some(line) => line.strip_suffix('\r').unwrap_or(line),
            None => line,
        }
    }

    /// The line a byte stands in, from 1.
    pub fn at(&self, byte: usize) -> usize {
        self.starts.partition_point(|&start| start <= byte)
    }

    /// The lines from a number on, from 1.
    pub fn from(&self, number: usize) -> impl Iterator<Item = &'a str> {
        (number..=self.starts.len()).map(|n| self.line(n))
    }
}

#[cfg(test)]
mod tests {
    use super::Lines;

    #[test]
    fn lines_are_those_the_text_has() {
        for text in [
            "",
            "\n",
            "a",
            "a\n",
            "a\r\nb",
            "a\n\nb\n",
            "é\nü\r\n",
            "a\rb\r",
        ] {
            let lines = Lines::of(text);
            for number in 1..6 {
                let expected = text.lines().nth(number - 1).unwrap_or("");
                assert_eq!(lines.line(number), expected, "{text:?} {number}");
            }
            for byte in 0..=text.len() {
                let before = text.as_bytes()[..byte].iter();
                let expected = 1 + before.filter(|b| **b == b'\n').count();
                assert_eq!(lines.at(byte), expected, "{text:?} {byte}");
            }
        }
    }
}
