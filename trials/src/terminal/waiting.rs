//! What a person sees who waits: nothing for a second, then that work goes on, and how far it has come where that is known.

use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::commands::Context;

/// Before this nobody wonders whether anything happens (common practice, no source).
const PATIENCE: Duration = Duration::from_secs(1);

/// How often the sign of life moves.
const BEAT: Duration = Duration::from_millis(120);

/// A command at work. Shown on a terminal only, and cleared away when it ends.
pub(super) struct Waiting {
    bar: ProgressBar,
    ended: Option<Sender<()>>,
    watch: Option<JoinHandle<()>>,
}

impl Waiting {
    /// Begins to wait.
    pub(super) fn begin(context: &Context) -> Self {
        let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::hidden());
        style(&bar, "{spinner} at work for {elapsed}");
        if context.quiet || context.json {
            return Self {
                bar,
                ended: None,
                watch: None,
            };
        }
        let (ended, end) = channel();
        let seen = bar.clone();
        let watch = std::thread::spawn(move || show_after(PATIENCE, &seen, &end));
        Self {
            bar,
            ended: Some(ended),
            watch: Some(watch),
        }
    }

    /// Tells how far the work has come.
    pub(super) fn at(&self, ready: usize, of: usize) {
        if self.bar.length() != Some(of as u64) {
            self.bar.set_length(of as u64);
            style(&self.bar, "{bar:40} {pos} of {len}, {elapsed}");
        }
        self.bar.set_position(ready as u64);
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        self.ended.take();
        if let Some(watch) = self.watch.take() {
            // It only draws: that it failed is nobody's loss.
            watch.join().unwrap_or_default();
        }
        self.bar.finish_and_clear();
    }
}

/// Shows the bar unless the end comes first.
fn show_after(patience: Duration, bar: &ProgressBar, end: &Receiver<()>) {
    if end.recv_timeout(patience) == Err(RecvTimeoutError::Timeout) {
        bar.set_draw_target(ProgressDrawTarget::stderr());
        bar.enable_steady_tick(BEAT);
    }
}

/// Shows the bar in another way; in the usual one where the template is none.
fn style(bar: &ProgressBar, template: &str) {
    if let Ok(style) = ProgressStyle::with_template(template) {
        bar.set_style(style);
    }
}
