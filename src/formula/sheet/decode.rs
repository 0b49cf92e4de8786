//! The bytes of a file as text: UTF-8, UTF-16 or Windows-1252, whichever they are.

use encoding_rs::{Encoding, UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::diagnostic::Diagnostic;

/// Bytes looked at to tell UTF-16 without a mark.
const SAMPLE: usize = 4_000;

/// A text with one kind of line end, and the encoding it was in.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Decoded {
    pub text: String,
    pub encoding: &'static str,
}

/// The text of a file.
///
/// Errors: `F001` where the bytes are no text.
pub(super) fn decode(file: &str, bytes: &[u8]) -> Result<Decoded, Diagnostic> {
    let (encoding, mark) = Encoding::for_bom(bytes)
        .or_else(|| unmarked(bytes).map(|encoding| (encoding, 0)))
        .unwrap_or((WINDOWS_1252, 0));
    let (text, faulty) = encoding.decode_without_bom_handling(&bytes[mark..]);
    let odd = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\x0b' | '\x0c');
    let place = match faulty {
        true => text.find('\u{fffd}'),
        false => text.find(odd),
    };
    if let Some(at) = place.or(faulty.then_some(0)) {
        let line = text[..at].matches('\n').count() + 1;
        return Err(Diagnostic::new("F001", file, "the file is no text")
            .at(line, 0)
            .help("save it as CSV in UTF-8, or as an XLSX spreadsheet"));
    }
    Ok(Decoded {
        text: text.replace("\r\n", "\n").replace('\r', "\n"),
        encoding: match encoding {
            e if e == UTF_8 => "UTF-8",
            e if e == WINDOWS_1252 => "Windows-1252",
            _ => "UTF-16",
        },
    })
}

/// The encoding of bytes without a mark; `None` where every byte may stand for a character.
fn unmarked(bytes: &[u8]) -> Option<&'static Encoding> {
    let sample = &bytes[..bytes.len().min(SAMPLE)];
    let zeros = |odd: usize| {
        let half = sample.iter().skip(odd).step_by(2);
        half.filter(|byte| **byte == 0).count()
    };
    // In UTF-16 every second byte of a Latin text is zero.
    let (even, odd, half) = (zeros(0), zeros(1), sample.len() / 2);
    if half > 0 && odd * 2 > half && even == 0 {
        return Some(UTF_16LE);
    }
    if half > 0 && even * 2 > half && odd == 0 {
        return Some(UTF_16BE);
    }
    std::str::from_utf8(bytes).is_ok().then_some(UTF_8)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "Menge;Zutat\r\n500;Crème fraîche\r12;Öl\n";

    fn utf16(text: &str, bytes: fn(u16) -> [u8; 2], mark: bool) -> Vec<u8> {
        let units = mark
            .then_some(0xfeff)
            .into_iter()
            .chain(text.encode_utf16());
        units.flat_map(bytes).collect()
    }

    #[test]
    fn a_text_is_the_same_in_every_encoding() {
        let latin: Vec<u8> = TEXT.chars().map(|c| c as u8).collect();
        let marked = [b"\xef\xbb\xbf", TEXT.as_bytes()].concat();
        for (bytes, encoding) in [
            (TEXT.as_bytes().to_vec(), "UTF-8"),
            (marked, "UTF-8"),
            (latin, "Windows-1252"),
            (utf16(TEXT, u16::to_le_bytes, true), "UTF-16"),
            (utf16(TEXT, u16::to_be_bytes, true), "UTF-16"),
            (utf16(TEXT, u16::to_le_bytes, false), "UTF-16"),
            (utf16(TEXT, u16::to_be_bytes, false), "UTF-16"),
        ] {
            let decoded = decode("mix.csv", &bytes).expect("a text");
            assert_eq!(decoded.encoding, encoding);
            assert_eq!(decoded.text, "Menge;Zutat\n500;Crème fraîche\n12;Öl\n");
        }
    }

    #[test]
    fn what_is_no_text_is_told_with_its_line() {
        for (bytes, line) in [
            (&b"ingredient,grams\nmilk\x00,5"[..], 2),
            (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 2),
            (b"\xff\xfem\x00\x00\xd8i\x00", 1),
        ] {
            let problem = decode("mix.csv", bytes).expect_err("no text");
            assert_eq!((problem.code, problem.place.line), ("F001", line));
        }
    }
}
