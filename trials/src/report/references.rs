//! Published sources that a methods text cites, each once.

use std::collections::BTreeSet;

/// How a source is cited in a sentence, and how it stands in the list of references.
struct Source {
    cited: &'static str,
    listed: &'static str,
}

/// The same sources as in the analysis crate's page of references.
const SOURCES: [Source; 19] = [
    Source {
        cited: "Abbott 1925",
        listed: "Abbott, W. S. (1925). Journal of Economic Entomology 18, 265-267.",
    },
    Source {
        cited: "Anscombe 1948",
        listed: "Anscombe, F. J. (1948). Biometrika 35, 246-254.",
    },
    Source {
        cited: "Anselin 1995",
        listed: "Anselin, L. (1995). Geographical Analysis 27, 93-115.",
    },
    Source {
        cited: "Bartlett 1936",
        listed: "Bartlett, M. S. (1936). Supplement to the Journal of the Royal Statistical Society 3, 68-78.",
    },
    Source {
        cited: "Beall 1942",
        listed: "Beall, G. (1942). Biometrika 32, 243-262.",
    },
    Source {
        cited: "Dunnett 1955",
        listed: "Dunnett, C. W. (1955). Journal of the American Statistical Association 50, 1096-1121.",
    },
    Source {
        cited: "Fisher 1935",
        listed: "Fisher, R. A. (1935). The Design of Experiments. Edinburgh: Oliver and Boyd.",
    },
    Source {
        cited: "Henderson & Tilton 1955",
        listed: "Henderson, C. F. & Tilton, E. W. (1955). Journal of Economic Entomology 48, 157-161.",
    },
    Source {
        cited: "Holm 1979",
        listed: "Holm, S. (1979). Scandinavian Journal of Statistics 6, 65-70.",
    },
    Source {
        cited: "Lawless 1987",
        listed: "Lawless, J. F. (1987). Canadian Journal of Statistics 15, 209-225.",
    },
    Source {
        cited: "Lehmann & Romano 2005",
        listed: "Lehmann, E. L. & Romano, J. P. (2005). Testing Statistical Hypotheses, 3rd edition. New York: Springer.",
    },
    Source {
        cited: "Marcus et al. 1976",
        listed: "Marcus, R., Peritz, E. & Gabriel, K. R. (1976). Biometrika 63, 655-660.",
    },
    Source {
        cited: "McCullagh & Nelder 1989",
        listed: "McCullagh, P. & Nelder, J. A. (1989). Generalized Linear Models, 2nd edition. London: Chapman and Hall.",
    },
    Source {
        cited: "Moran 1950",
        listed: "Moran, P. A. P. (1950). Biometrika 37, 17-23.",
    },
    Source {
        cited: "Ord & Getis 1995",
        listed: "Ord, J. K. & Getis, A. (1995). Geographical Analysis 27, 286-306.",
    },
    Source {
        cited: "Perry 1998",
        listed: "Perry, J. N. (1998). Ecology 79, 26-46.",
    },
    Source {
        cited: "Przyborowski & Wilenski 1940",
        listed: "Przyborowski, J. & Wilenski, H. (1940). Biometrika 31, 313-323.",
    },
    Source {
        cited: "Satterthwaite 1946",
        listed: "Satterthwaite, F. E. (1946). Biometrics Bulletin 2, 110-114.",
    },
    Source {
        cited: "Westfall & Young 1993",
        listed: "Westfall, P. H. & Young, S. S. (1993). Resampling-Based Multiple Testing. New York: Wiley.",
    },
];

/// The references of the sources that a text cites, in the order of the alphabet.
pub(super) fn cited_in(texts: &[String]) -> Vec<&'static str> {
    let cites = |s: &&Source| texts.iter().any(|text| text.contains(s.cited));
    let listed: BTreeSet<&str> = SOURCES.iter().filter(cites).map(|s| s.listed).collect();
    listed.into_iter().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Authors' names, year and pages are those of the analysis crate's page.
    #[test]
    fn every_source_stands_on_the_page_of_references() {
        let page = include_str!("../../../analysis/src/references.md");
        for source in &SOURCES {
            let (authors, year) = source.cited.rsplit_once(' ').unwrap();
            let first = authors.split([' ', '&']).next().unwrap();
            let line = page
                .lines()
                .find(|line| line.contains(first) && line.contains(year));
            assert!(line.is_some(), "{} is not on the page", source.cited);
            let numbers = source
                .listed
                .trim_end_matches('.')
                .rsplit(' ')
                .next()
                .unwrap();
            if numbers.contains('-') {
                assert!(line.unwrap().contains(numbers), "{}", source.listed);
            }
            assert!(source.listed.contains(year), "{}", source.listed);
        }
    }

    #[test]
    fn only_what_is_cited_is_listed() {
        let text = ["the randomisation test (Fisher 1935); Holm's method (Holm 1979)".to_owned()];
        let listed = cited_in(&text);
        assert_eq!(listed.len(), 2);
        assert!(listed[0].starts_with("Fisher") && listed[1].starts_with("Holm"));
        assert!(cited_in(&[]).is_empty());
    }
}
