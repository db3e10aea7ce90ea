//! Statistics for field trials that count things: values in, values out.
//!
//! Nothing here opens a file, prints, reads a clock or draws a random number that the caller did not
//! seed. The folders stand in the order of the work, and a folder may use only those before it.
//!
//! | question | folder |
//! |---|---|
//! | what does every method hand back? | [`results`] |
//! | which numerical tools do the methods share? | [`numerics`] |
//! | where do random numbers come from? | [`random`] |
//! | which distributions are tests and models referred to? | [`distributions`] |
//! | what will work take that costs nothing where nothing is done (least squares)? | [`regression`] |
//! | how do counts depend on treatment and block (generalised linear models)? | [`counts`] |
//! | and if blocks are random effects (generalised linear mixed models)? | [`mixed`] |
//! | what if several treatments share one control (multiple comparisons)? | [`multiplicity`] |
//! | what could the randomisation alone have done (randomisation tests)? | [`randomisation`] |
//! | what can be said exactly about two counts (exact conditional tests)? | [`exact`] |
//! | how overdispersed are the counts? | [`dispersion`] |
//! | what does the trade call efficacy? | [`efficacy`] |
//! | and for scores, cover and lengths? | [`responses`] |
//! | does a treatment differ from the control (primary test, confidence interval)? | [`comparison`] |
//! | does the effect change between occasions (repeated measures, BACI)? | [`repeated_measures`] |
//! | can the answer be believed (residuals, case deletion)? | [`diagnostics`] |
//! | how large must the next trial be (power, assurance, sample size)? | [`power`] |
//! | when may the counting stop (sequential plans)? | [`sequential`] |
//! | where are they (spatial autocorrelation, clusters, kriging)? | [`spatial`] |
//! | what do many trials say together (random-effects meta-analysis)? | [`meta_analysis`] |
//!
//! # Example
//! Did spray C leave fewer insects than spray A? Counts of Beall (1942, Biometrika 32:243-262).
//! ```
//! use halfgreen_analysis::comparison::{
//!     Better, BlockStructure, InferenceSpace, PlotTable, Question, Settings, compare,
//! };
//! use halfgreen_analysis::counts::Factor;
//! use halfgreen_analysis::randomisation::{RandomisationSettings, Scheme};
//!
//! let spray = [["A"; 12], ["C"; 12]].concat();
//! let table = PlotTable {
//!     counts: vec![10, 7, 20, 14, 14, 12, 10, 23, 17, 20, 14, 13, 0, 1, 7, 2, 3, 1, 2, 1, 3, 0, 1, 4],
//!     exposure: vec![1.0; 24],
//!     treatment: Factor::from_labels("spray", &spray, Some("A")),
//!     block_structure: BlockStructure::Unblocked,
//!     inference: InferenceSpace::Narrow,
//!     before: None,
//! };
//! let question = Question { alpha: 0.05, better: Better::Fewer, worthwhile_ratio: 0.5 };
//! let settings = Settings {
//!     scheme: Some(Scheme::completely_randomised(24)),
//!     primary_test: None,
//!     randomisation: RandomisationSettings::default(),
//! };
//!
//! let found = compare(&table, &question, &settings)?;
//! let contrast = &found.contrasts[0];
//! println!("{:?}: ratio {:?}, {:?}", contrast.call, contrast.ratio, contrast.interval);
//! assert!(contrast.interval.high < 0.5);
//! # Ok::<(), halfgreen_analysis::Error>(())
//! ```
//!
//! What each method rests on is listed, with identifiers, in [`references`].

pub mod error;
pub mod references;

pub mod results;
pub mod numerics;
pub mod random;
pub mod distributions;
pub mod regression;
pub mod counts;
pub mod mixed;
pub mod multiplicity;
pub mod randomisation;
pub mod exact;
pub mod dispersion;
pub mod efficacy;
pub mod responses;
pub mod comparison;
pub mod repeated_measures;
pub mod diagnostics;
pub mod power;
pub mod sequential;
pub mod spatial;
pub mod meta_analysis;

pub use error::Error;
