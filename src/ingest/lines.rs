//! Line numbers of rows. The CSV parser counts a line end when it reads past it, which is one row
//! late in files from Windows and after blank lines; here the bytes themselves are counted.

use std::collections::VecDeque;
use std::io::{self, Read};

/// Passes bytes on and remembers where lines end.
pub(super) struct LineTracker<R> {
    inner: R,
    /// Bytes passed on.
    passed: u64,
    /// Line ends that no row has been placed after yet.
    ends: VecDeque<LineEnd>,
    /// Lines that end before those.
    lines_before: u64,
}

struct LineEnd {
    offset: u64,
    /// Whether a line ends here: not at the first half of `\r\n`.
    ends_line: bool,
    is_return: bool,
}

impl<R> LineTracker<R> {
    pub(super) fn new(inner: R) -> LineTracker<R> {
        LineTracker {
            inner,
            passed: 0,
            ends: VecDeque::new(),
            lines_before: 0,
        }
    }

    /// The line, from 1, of the first content at or after `offset`. Offsets only rise.
    pub(super) fn line_at(&mut self, mut offset: u64) -> u64 {
        while let Some(end) = self.ends.front().filter(|end| end.offset <= offset) {
            self.lines_before += u64::from(end.ends_line);
            // The rest of a line end and blank lines lie before the content.
            if end.offset == offset {
                offset += 1;
            }
            self.ends.pop_front();
        }
        self.lines_before + 1
    }
}

impl<R: Read> Read for LineTracker<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let length = self.inner.read(buffer)?;
        for byte in &buffer[..length] {
            if matches!(byte, b'\n' | b'\r') {
                if let Some(previous) = self.ends.back_mut()
                    && *byte == b'\n'
                    && previous.is_return
                    && previous.offset + 1 == self.passed
                {
                    previous.ends_line = false;
                }
                self.ends.push_back(LineEnd {
                    offset: self.passed,
                    ends_line: true,
                    is_return: *byte == b'\r',
                });
            }
            self.passed += 1;
        }
        Ok(length)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reads `text` through small buffers and asks for the line at each of the offsets.
    #[track_caller]
    fn check(text: &str, lines_at: &[(u64, u64)]) {
        for size in [1, 2, 3, 64] {
            let mut tracker = LineTracker::new(text.as_bytes());
            let mut buffer = vec![0; size];
            while tracker.read(&mut buffer).unwrap() > 0 {}
            for (offset, line) in lines_at {
                assert_eq!(
                    tracker.line_at(*offset),
                    *line,
                    "{text:?} at {offset}, buffer {size}"
                );
            }
        }
    }

    #[test]
    fn rows_start_after_whole_line_ends_and_blank_lines() {
        check("ab\ncd\nef", &[(0, 1), (3, 2), (6, 3)]);
        // A parser that stops at the return asks for the offset of the line feed.
        check("ab\r\ncd\r\nef", &[(0, 1), (3, 2), (7, 3)]);
        check("ab\rcd\ref", &[(0, 1), (3, 2), (6, 3)]);
        check("ab\n\n\ncd\n", &[(0, 1), (3, 4)]);
        check("ab\r\n\r\n\r\ncd\r\n", &[(0, 1), (3, 4)]);
        check("\n\nab\n\"c\nd\"\nef", &[(0, 3), (5, 4), (11, 6)]);
    }
}
