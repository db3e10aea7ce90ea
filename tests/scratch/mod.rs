//! An empty folder for one test, and the built program to run in it.

pub(crate) mod workbook;

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::sync::LazyLock;

use serde_json::Value;

/// Protocol of the untidy sheets: two pairs, two cores of 0.01 square metres, counted twice.
pub(crate) const PROTOCOL: &str = r#"[trial]
title = "Two pairs"
question = "Does covering lower the count?"

[[treatment]]
code = "U"
name = "uncovered"
control = true

[[treatment]]
code = "C"
name = "covered"
kind = "covering"

[design]
kind = "paired"
blocks = 2

[plot]
length_m = 4.0
width_m = 2.0

[response]
name = "larvae in cores"
cores_per_plot = 2
area_m2 = 0.01

[[occasion]]
name = "before"
role = "before"

[[occasion]]
name = "main"
role = "main"

[decision]
worthwhile_reduction_percent = 50
"#;

/// Its layout.
pub(crate) const LAYOUT: &str = "plot,block,row,column,treatment,x_m,y_m,length_m,width_m,angle_deg
1,1,,,U,2,1,4,2,0
2,1,,,C,2,4,4,2,0
3,2,,,C,8,1,4,2,0
4,2,,,U,8,4,4,2,0
";

/// The edge of a green with room for it.
pub(crate) const EDGE: &str = "x_m,y_m\n0,0\n30,0\n30,20\n0,20\n";

/// Name and content of every file that the demonstration writes, made once for all tests that do not ask
/// how it is made.
static CLUB: LazyLock<Vec<(String, Vec<u8>)>> = LazyLock::new(|| {
    let scratch = Scratch::empty();
    let run = scratch.run(&["demo", "club", "--threads", "2"]);
    assert_eq!(run.code(), Some(0), "{}", run.err());
    scratch.files()
});

/// A folder that vanishes with the test.
pub(crate) struct Scratch {
    folder: tempfile::TempDir,
}

impl Scratch {
    pub(crate) fn empty() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    /// A laid-out trial with these counts.
    pub(crate) fn trial(counts: &str) -> Self {
        let scratch = Self::empty();
        scratch.put("trial.toml", PROTOCOL);
        scratch.put("layout.csv", LAYOUT);
        scratch.put("counts.csv", counts);
        scratch
    }

    /// A trial with this protocol, on a green that is measured; it is not laid out.
    pub(crate) fn measured(protocol: &str) -> Self {
        let scratch = Self::empty();
        scratch.put("trial.toml", protocol);
        scratch.put("outline.csv", EDGE);
        scratch
    }

    /// The invented club's trial in the folder `club`, judged and reported by the demonstration.
    pub(crate) fn club() -> Self {
        let scratch = Self::empty();
        for (name, content) in CLUB.iter() {
            scratch.put(name, content);
        }
        scratch
    }

    /// Puts a file in place, in a folder that is made if need be.
    #[expect(
        clippy::disallowed_methods,
        reason = "a test puts its own files in place"
    )]
    pub(crate) fn put(&self, name: &str, text: impl AsRef<[u8]>) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, text).unwrap();
    }

    #[expect(
        clippy::disallowed_methods,
        reason = "a test reads what the program wrote"
    )]
    pub(crate) fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    #[expect(
        clippy::disallowed_methods,
        reason = "a test reads what the program wrote"
    )]
    pub(crate) fn bytes(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap()
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// Names of the files in the folder, sorted.
    pub(crate) fn names(&self) -> Vec<String> {
        let entries = self.folder.path().read_dir().unwrap();
        let name = |e: std::io::Result<std::fs::DirEntry>| e.unwrap().file_name();
        let mut names: Vec<String> = entries
            .map(|e| name(e).to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Name and content of every file below the folder, in order of their names.
    #[expect(
        clippy::disallowed_methods,
        reason = "a test reads what the program wrote"
    )]
    pub(crate) fn files(&self) -> Vec<(String, Vec<u8>)> {
        let mut found = Vec::new();
        let mut folders = vec![self.folder.path().to_path_buf()];
        while let Some(folder) = folders.pop() {
            for entry in folder.read_dir().unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    folders.push(path);
                } else {
                    let name = path.strip_prefix(self.folder.path()).unwrap();
                    let content = std::fs::read(&path).unwrap();
                    found.push((name.to_str().unwrap().to_owned(), content));
                }
            }
        }
        found.sort();
        found
    }

    /// Runs the program in the folder.
    pub(crate) fn run(&self, arguments: &[&str]) -> Run {
        let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
        command.args(arguments).current_dir(self.folder.path());
        Run(command.output().unwrap())
    }

    /// Runs the program in the folder with these variables in its environment.
    pub(crate) fn run_with(&self, arguments: &[&str], variables: &[(&str, &str)]) -> Run {
        let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
        command.args(arguments).current_dir(self.folder.path());
        command.envs(variables.iter().copied());
        Run(command.output().unwrap())
    }

    /// Runs the program with a standard output that nobody reads.
    pub(crate) fn run_into_closed_pipe(&self, arguments: &[&str]) -> Run {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = Command::new(env!("CARGO_BIN_EXE_halfgreen"));
        command.args(arguments).current_dir(self.folder.path());
        let child = command.stdout(writer).stderr(Stdio::piped()).spawn();
        Run(child.unwrap().wait_with_output().unwrap())
    }
}

/// What a run left behind.
pub(crate) struct Run(Output);

impl Run {
    pub(crate) fn code(&self) -> Option<i32> {
        self.0.status.code()
    }

    pub(crate) fn out(&self) -> String {
        String::from_utf8(self.0.stdout.clone()).unwrap()
    }

    pub(crate) fn err(&self) -> String {
        String::from_utf8(self.0.stderr.clone()).unwrap()
    }

    pub(crate) fn json(&self) -> Value {
        serde_json::from_slice(&self.0.stdout).unwrap()
    }
}

/// How often a test repeats what chance has a hand in: `n` times, or that many times what `HALFGREEN_TIMES` says.
#[expect(
    clippy::disallowed_methods,
    reason = "whoever runs the tests may ask for more"
)]
pub(crate) fn times(n: u32) -> u32 {
    let asked = std::env::var("HALFGREEN_TIMES").ok();
    let factor = asked.and_then(|text| text.parse::<u32>().ok()).unwrap_or(1);
    n * factor
}

/// Text of a file of the examples.
#[expect(
    clippy::disallowed_methods,
    reason = "a test reads the examples as they lie"
)]
pub(crate) fn example(name: &str) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../data-examples");
    std::fs::read_to_string(root.join(name)).unwrap()
}
