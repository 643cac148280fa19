//! A progress bar for work that takes long. It is drawn to standard error and only where that is a
//! terminal, never with `--quiet`, and not before half a second has passed, so that a quick run
//! shows nothing.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::IsTerminal as _;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Work that ends sooner has no bar.
const PATIENCE: Duration = Duration::from_millis(500);

const WITH_TOTAL: &str =
    "reading {bytes} of {total_bytes} [{bar:24}] {bytes_per_sec}{msg}, {eta} left";
const WITHOUT_TOTAL: &str = "reading {bytes}, {bytes_per_sec}{msg}, {elapsed}";

/// How far reading has come. Several threads may report at once.
pub(super) struct Progress {
    bar: ProgressBar,
    started: Instant,
    rows: AtomicU64,
    /// Where the bar is drawn once it appears; `None` when it never does.
    target: Option<fn() -> ProgressDrawTarget>,
    shown: OnceLock<()>,
}

impl Progress {
    /// Starts the clock. Without a total, as with packed files, there is no bar and no time left.
    pub(super) fn start(total_bytes: Option<u64>, is_quiet: bool) -> Progress {
        let is_watched = !is_quiet && std::io::stderr().is_terminal();
        let target = is_watched.then_some(ProgressDrawTarget::stderr as fn() -> _);
        Progress::with_target(total_bytes, target)
    }

    fn with_target(
        total_bytes: Option<u64>,
        target: Option<fn() -> ProgressDrawTarget>,
    ) -> Progress {
        let bar = ProgressBar::with_draw_target(total_bytes, ProgressDrawTarget::hidden());
        let template = if total_bytes.is_some() {
            WITH_TOTAL
        } else {
            WITHOUT_TOTAL
        };
        let style = ProgressStyle::with_template(template).expect("a template that a test draws");
        bar.set_style(style.progress_chars("=> "));
        Progress {
            bar,
            started: Instant::now(),
            rows: AtomicU64::new(0),
            target,
            shown: OnceLock::new(),
        }
    }

    /// So many more bytes have been read. Meant for blocks of many rows, not for each row.
    pub(super) fn add(&self, bytes: u64) {
        self.bar.inc(bytes);
        if let Some(target) = self.target
            && self.started.elapsed() >= PATIENCE
        {
            self.shown
                .get_or_init(|| self.bar.set_draw_target(target()));
        }
    }

    /// So many more rows have been read; the bar then tells rows a second.
    pub(super) fn add_rows(&self, rows: u64) {
        let rows = self.rows.fetch_add(rows, Ordering::Relaxed) + rows;
        if self.shown.get().is_some() {
            let seconds = self.started.elapsed().as_secs_f64();
            self.bar.set_message(rows_per_second(rows, seconds));
        }
    }

    /// Takes the bar off the terminal.
    pub(super) fn finish(&self) {
        self.bar.finish_and_clear();
    }
}

/// `, 512k rows/s`.
fn rows_per_second(rows: u64, seconds: f64) -> String {
    let rate = rows as f64 / seconds;
    if rate >= 1e6 {
        format!(", {:.1}M rows/s", rate / 1e6)
    } else if rate >= 1e3 {
        format!(", {:.0}k rows/s", rate / 1e3)
    } else {
        format!(", {rate:.0} rows/s")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use indicatif::TermLike;
    use std::io;
    use std::sync::Mutex;

    /// What was drawn, by all tests of this file together.
    static DRAWN: Mutex<String> = Mutex::new(String::new());

    /// A terminal of 120 columns that remembers everything.
    #[derive(Debug)]
    struct Remembering;

    impl TermLike for Remembering {
        fn width(&self) -> u16 {
            120
        }
        fn move_cursor_up(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_down(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_right(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn move_cursor_left(&self, _: usize) -> io::Result<()> {
            Ok(())
        }
        fn write_line(&self, text: &str) -> io::Result<()> {
            self.write_str(text)
        }
        fn write_str(&self, text: &str) -> io::Result<()> {
            DRAWN.lock().unwrap().push_str(text);
            Ok(())
        }
        fn clear_line(&self) -> io::Result<()> {
            Ok(())
        }
        fn flush(&self) -> io::Result<()> {
            Ok(())
        }
    }

    fn remembering() -> ProgressDrawTarget {
        ProgressDrawTarget::term_like_with_hz(Box::new(Remembering), 255)
    }

    #[test]
    fn the_bar_appears_after_half_a_second_and_tells_how_far_it_is() {
        let progress = Progress::with_target(Some(4_000_000), Some(remembering));
        progress.add(1_000_000);
        progress.add_rows(10_000);
        assert_eq!(*DRAWN.lock().unwrap(), "");
        std::thread::sleep(PATIENCE + Duration::from_millis(20));
        let report: &(dyn Fn(u64) + Sync) = &|bytes| progress.add(bytes);
        std::thread::scope(|scope| {
            for _ in 0..2 {
                scope.spawn(move || report(500_000));
            }
        });
        progress.add_rows(10_000);
        std::thread::sleep(Duration::from_millis(20));
        progress.add(500_000);
        progress.finish();
        let drawn = DRAWN.lock().unwrap();
        assert!(drawn.contains("of 3.81 MiB [="), "{drawn}");
        assert!(
            drawn.contains("k rows/s") && drawn.contains(" left"),
            "{drawn}"
        );
    }

    #[test]
    fn nothing_is_drawn_where_nobody_looks() {
        let progress = Progress::start(None, true);
        assert!(progress.target.is_none());
        progress.add(1);
        assert!(progress.shown.get().is_none() && progress.bar.is_hidden());
        progress.finish();
    }

    #[test]
    fn rates_are_short() {
        assert_eq!(rows_per_second(100, 2.0), ", 50 rows/s");
        assert_eq!(rows_per_second(1_024_000, 2.0), ", 512k rows/s");
        assert_eq!(rows_per_second(3_000_000, 2.0), ", 1.5M rows/s");
    }
}
