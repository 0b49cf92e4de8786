//! Opening what is a plain file, and nothing that waits or never ends.

use std::fs::File;
use std::io::{Error, ErrorKind, Result};
use std::path::Path;

/// Opens a file to be read, through links.
///
/// Errors: what the system says; a folder, a device or a pipe is no file to read.
pub fn opened(path: &Path) -> Result<File> {
    // Opening a pipe waits for whoever writes to it, so it is looked at before.
    match std::fs::metadata(path)? {
        found if found.is_file() => File::open(path),
        found if found.is_dir() => Err(Error::new(ErrorKind::InvalidInput, "it is a folder")),
        _ => Err(Error::new(
            ErrorKind::InvalidInput,
            "it is a device or a pipe, not a file",
        )),
    }
}
