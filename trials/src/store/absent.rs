//! A name that leads to nothing, and the one beside it that was most likely meant.

use std::path::Path;

use crate::Error;
use crate::text::spelling::nearest;

/// That there is no such file; `beside` are the names in its folder, none where there is no such folder.
pub(super) fn absent(name: &Path, beside: Option<&[String]>) -> Error {
    let shown = name.display().to_string();
    let what = "there is no such file";
    match beside {
        None => {
            let folder = name.parent().unwrap_or(name).display();
            let cure = format!(
                "There is no folder {folder} either: check the name, and the folder you are in."
            );
            Error::new(shown, what, cure)
        }
        Some(names) => {
            let cure = meant(name, names).map_or_else(
                || "Check the name, and the folder you are in.".to_owned(),
                |near| format!("Did you mean `{near}`?"),
            );
            Error::new(shown, what, cure)
        }
    }
}

/// The name among those of its folder that a name was most likely meant to be, with its folder.
pub(super) fn meant(name: &Path, beside: &[String]) -> Option<String> {
    let word = name.file_name()?.to_str()?;
    let seen = beside
        .iter()
        .map(String::as_str)
        .filter(|n| !n.starts_with('.'));
    let near = nearest(word, seen)?;
    Some(name.with_file_name(near).display().to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_nearest_name_of_the_folder_is_offered() {
        let beside = ["counts.csv", "trial.toml", ".counts.cvs"].map(str::to_owned);
        let told = |name: &str| absent(Path::new(name), Some(&beside)).cure;
        assert_eq!(told("club/count.csv"), "Did you mean `club/counts.csv`?");
        assert_eq!(told("zzz"), "Check the name, and the folder you are in.");
        let lost = absent(Path::new("clab/counts.csv"), None).cure;
        assert!(lost.contains("no folder clab"), "{lost}");
    }
}
