//! A table block by block: the next blocks are read while those before are worked on.

use rayon::prelude::*;

use crate::Error;
use crate::store::{SourceText, TextBlock};

/// Works on every block, several at once, and takes in what comes of each in the order of the file.
pub(super) fn each_block<T: Send>(
    source: &mut SourceText,
    work: impl Fn(&TextBlock) -> T + Sync,
    mut take: impl FnMut(T) -> Result<(), Error>,
) -> Result<(), Error> {
    let mut ready = next_blocks(source)?;
    while !ready.is_empty() {
        let (found, next) = rayon::join(
            || ready.par_iter().map(&work).collect::<Vec<T>>(),
            || next_blocks(source),
        );
        found.into_iter().try_for_each(&mut take)?;
        ready = next?;
    }
    Ok(())
}

/// Blocks for each thread that are read at once: enough that none waits long for another, and what is held stays bounded.
const BLOCKS: usize = 4;

/// The next blocks.
fn next_blocks(source: &mut SourceText) -> Result<Vec<TextBlock>, Error> {
    let mut blocks = Vec::new();
    while blocks.len() < BLOCKS * rayon::current_num_threads() {
        match source.next_block()? {
            Some(block) => blocks.push(block),
            None => break,
        }
    }
    Ok(blocks)
}
