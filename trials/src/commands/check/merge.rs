//! Several files of counts or readings as one: the trial's own and those that phones, spreadsheets and a second pair of hands wrote.

use super::super::{Answer, Refusal, Surroundings, Words};
use super::words::words;
use super::{Checked, Planned, Request, refusal, trial, when};
use crate::Error;
use crate::intake::{FilesCheck, check_files, check_reading_files};
use crate::store::{COUNTS, COUNTS_MERGED, NewFile, Replace, TrialFolder, Under};
use crate::table::{Problem, worst_first};

/// Checks the files as one and writes them together, unless something is wrong or the folder's own file says it all.
pub(super) fn run(
    request: &Request,
    at: &Surroundings<'_>,
    planned: Planned,
) -> Result<Answer<Checked>, Refusal> {
    let folder = TrialFolder::open(at.sources, &request.dir)?;
    let Planned {
        protocol,
        layout,
        mut warnings,
    } = planned;
    let own = trial::counts_of(&folder)?;
    let mut files: Vec<(String, String)> = own.iter().cloned().collect();
    for path in &request.files {
        files.push((path.display().to_string(), at.sources.table(path)?));
    }
    let name = if folder.has(COUNTS) {
        COUNTS_MERGED
    } else {
        COUNTS
    };
    let whole = folder.shown(name);
    let (what, together_as_one): (_, fn(&_, &_, &_, &_) -> _) = if protocol.response.kind.is_count()
    {
        ("counts", check_files)
    } else {
        ("readings", check_reading_files)
    };
    let FilesCheck {
        mut check,
        text,
        new,
    } = together_as_one(&whole, &files, &protocol, &layout)?;
    let alone = match &own {
        Some(own) => {
            let own = std::slice::from_ref(own);
            together_as_one(&whole, own, &protocol, &layout)?.text
        }
        None => None,
    };
    let seal = trial::seal(&folder)?;
    warnings.extend(trial::held_to_seal(
        &folder,
        seal.as_ref(),
        &protocol,
        &layout,
    ));
    let at_fault = trial::events_at_fault(&folder, &protocol, &layout)?;
    let late = trial::late_events(&folder, &protocol, &layout, &check)?;
    let problems = &mut check.result.problems;
    problems.extend(at_fault.into_iter().chain(late));
    worst_first(problems);
    let passed = !problems.iter().any(Problem::is_error);
    let text = text.filter(|_| passed);
    let not_judged = text
        .as_ref()
        .and_then(|text| refusal_of(request, at, &folder, text));
    let mut words = words(&check.result, not_judged.as_ref(), what, when(&protocol));
    let adds = text.filter(|text| alone.as_ref() != Some(text));
    let file = adds.map(|text| together(&folder, name, text));
    tell(&mut words, &folder, file.as_ref(), passed);
    let all = check.result.counts;
    let checked = Checked {
        found: check.result,
        not_judged: not_judged.map(|reason| reason.to_string()),
        merged: file.as_ref().map(NewFile::shown),
        new_counts: if own.is_some() { new } else { all },
    };
    let mut answer = Answer::new(checked, words)
        .with_warnings(warnings)
        .with_files(file.into_iter().collect());
    answer.passed = passed;
    Ok(answer)
}

/// Why `judge` would refuse the trial, were these its counts.
fn refusal_of(
    request: &Request,
    at: &Surroundings<'_>,
    folder: &TrialFolder<'_>,
    text: &str,
) -> Option<Error> {
    let put_together = Under::new(
        at.sources,
        folder.join(COUNTS),
        text.as_bytes(),
        folder.join(COUNTS_MERGED),
    );
    let folder = TrialFolder::open(&put_together, &request.dir).ok()?;
    refusal(&folder)
}

/// The file in which all stand together: the counts themselves where there are none, and they are never replaced.
fn together(folder: &TrialFolder<'_>, name: &'static str, text: String) -> NewFile {
    let file = folder.own_file("check", name, text);
    if name == COUNTS {
        NewFile {
            replace: Replace::Never,
            ..file
        }
    } else {
        file
    }
}

/// What became of it.
fn tell(words: &mut Words, folder: &TrialFolder<'_>, file: Option<&NewFile>, passed: bool) {
    let own = folder.shown(folder.counts_name());
    match file {
        Some(file) => {
            words.written(std::slice::from_ref(file));
            if folder.has(COUNTS) {
                words.line(format!(
                    "{own} is as it was: when you have looked at the merged file, put it in its place."
                ));
            }
        }
        None if passed => {
            words.line(format!(
                "{own} says all of this already: nothing is written."
            ));
        }
        None => {
            words
                .line("Nothing is put together while faults are left: mend them where they stand.");
        }
    }
}
