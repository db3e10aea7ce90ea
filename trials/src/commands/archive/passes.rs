//! A table block by block: every thread fetches the next block as soon as it is done with its last one.

use std::collections::BTreeMap;
use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::sync::{Mutex, PoisonError};
use std::thread::scope;

use sha2::digest::Update;

use crate::Error;
use crate::store::{SourceText, TextBlock};

/// Answers for each thread that may wait to be taken in: what is held stays bounded, and no thread stands still while one is taken in.
const WAITING: usize = 4;

/// What came of a block, with the block's number.
type Numbered<T> = (u64, Result<T, Error>);

/// Works on every block, several at once, and takes in what comes of each in the order of the file.
pub(super) fn each_block<D: Update + Send, T: Send>(
    source: &mut SourceText<D>,
    work: impl Fn(&TextBlock) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), Error>,
) -> Result<(), Error> {
    let threads = rayon::current_num_threads();
    if threads == 1 {
        while let Some(block) = source.next_block()? {
            take(work(&block))?;
        }
        return Ok(());
    }
    let blocks = Mutex::new(Blocks {
        source,
        number: 0,
        ended: false,
    });
    let (done, answers) = sync_channel(WAITING * threads);
    // Threads of their own: one of the pool could be handed this very work while it holds the blocks.
    scope(|scope| {
        let (blocks, work) = (&blocks, &work);
        for _ in 0..threads {
            let done = done.clone();
            scope.spawn(move || worked_off(blocks, work, &done));
        }
        drop(done);
        in_order(answers, &mut take)
    })
}

/// The blocks that are not fetched yet.
struct Blocks<'s, D> {
    source: &'s mut SourceText<D>,
    number: u64,
    ended: bool,
}

impl<D: Update> Blocks<'_, D> {
    /// The next block, once; after the last one, or after one that cannot be read, nothing.
    fn fetch(&mut self) -> Option<(u64, Result<TextBlock, Error>)> {
        if self.ended {
            return None;
        }
        let block = self.source.next_block().transpose();
        self.ended = !matches!(block, Some(Ok(_)));
        self.number += 1;
        Some((self.number - 1, block?))
    }
}

/// Works on blocks until there is none left, or nobody wants what comes of them.
fn worked_off<D: Update, T>(
    blocks: &Mutex<Blocks<'_, D>>,
    work: impl Fn(&TextBlock) -> T,
    done: &SyncSender<Numbered<T>>,
) {
    loop {
        let fetched = blocks
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .fetch();
        let Some((number, block)) = fetched else {
            return;
        };
        let found = block.map(|block| work(&block));
        if done.send((number, found)).is_err() {
            return;
        }
    }
}

/// Takes answers in by their numbers. One waits for those before it, which are at work and no longer than a block.
fn in_order<T>(
    answers: Receiver<Numbered<T>>,
    take: &mut impl FnMut(T) -> Result<(), Error>,
) -> Result<(), Error> {
    let mut early = BTreeMap::new();
    let mut next = 0;
    for (number, found) in answers {
        early.insert(number, found);
        while let Some(found) = early.remove(&next) {
            take(found?)?;
            next += 1;
        }
    }
    Ok(())
}
