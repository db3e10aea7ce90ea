//! The long run, and the eye on what does not come back at all.

#![expect(
    clippy::print_stdout,
    clippy::print_stderr,
    clippy::disallowed_methods,
    reason = "a long run is asked for by hand, and tells what it did"
)]

use std::sync::{LazyLock, Mutex, PoisonError};
use std::time::{Duration, Instant};

use super::{Began, damaged, doors, requests};

/// What is being tried, since when.
type Tried = Option<(Began, String)>;

/// Seen by the thread that waits. Tests run beside each other, so there may be several.
static TRIED: LazyLock<Mutex<Vec<Tried>>> = LazyLock::new(|| {
    std::thread::spawn(|| {
        loop {
            std::thread::sleep(Duration::from_secs(5));
            let tried = TRIED.lock().unwrap_or_else(PoisonError::into_inner);
            for (since, what) in tried.iter().flatten() {
                // Six times what any may take: other tests run beside this one. What waits for ever takes no processor.
                if since.took() > Duration::from_mins(1)
                    || since.clock.elapsed() > Duration::from_mins(10)
                {
                    eprintln!("does not come back:\n{what}");
                    std::process::exit(101);
                }
            }
        }
    });
    Mutex::default()
});

/// Ends the run, telling what was tried, if it is not over when this is dropped.
pub(super) struct Watch(usize);

/// Begins to watch a try.
pub(super) fn watch(door: &str, with: &str) -> Watch {
    let mut tried = TRIED.lock().unwrap_or_else(PoisonError::into_inner);
    let now = Some((Began::now(), format!("{door}:\n{with}")));
    if let Some(free) = tried.iter().position(Option::is_none) {
        tried[free] = now;
        Watch(free)
    } else {
        tried.push(now);
        Watch(tried.len() - 1)
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        TRIED.lock().unwrap_or_else(PoisonError::into_inner)[self.0] = None;
    }
}

/// Texts damaged at the cheapest door in one go.
const AT_ONCE: u32 = 2000;

#[test]
#[ignore = "takes as long as MUTATION_SECONDS says, a minute if it says nothing"]
fn every_door_for_as_long_as_asked() {
    let seconds = std::env::var("MUTATION_SECONDS").ok();
    let seconds = seconds.and_then(|s| s.parse().ok()).unwrap_or(60);
    let end = Instant::now() + Duration::from_secs(seconds);
    let doors = doors();
    let mut counts = vec![(0_u64, 0_u64); doors.len() + 1];
    let mut round = 0_u32;
    'run: loop {
        round = round.wrapping_add(1);
        for (door, (tried, taken)) in doors.iter().zip(&mut counts) {
            let cases = (AT_ONCE / door.cost).max(1);
            *taken += u64::from(damaged(door, cases, round));
            *tried += u64::from(cases);
            if Instant::now() > end {
                break 'run;
            }
        }
        let (tried, taken) = &mut counts[doors.len()];
        *taken += u64::from(requests::asked_beyond(AT_ONCE / 100, round));
        *tried += u64::from(AT_ONCE / 100);
        #[cfg(feature = "archive")]
        {
            *taken += u64::from(requests::archives_asked_beyond(AT_ONCE / 400, round));
            *tried += u64::from(AT_ONCE / 400);
        }
        if Instant::now() > end {
            break;
        }
    }
    let names = doors.iter().map(|d| d.name).chain(["requests"]);
    for (name, (tried, taken)) in names.zip(&counts) {
        println!("{name}: {tried} tried, {taken} taken");
    }
    println!("{} in all", counts.iter().map(|c| c.0).sum::<u64>());
}
