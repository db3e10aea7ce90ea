//! Where they are: clusters, hot spots and the strips of sheet that reach most of them.
//!
//! *Question.* Do larvae lie together, where, and where does the sheet earn most?
//!
//! *In.* A [`Survey`]: counts with places in metres, from a table or a trial, and how neighbours are
//! told ([`Weights`]). *Out.* [`Hotspots`]: numbers, plain sentences, cautions.
//!
//! *Assumes* that places were chosen without regard to what was found there. *Not for* telling what a
//! treatment did: that is `judgement`'s question.

mod best_strips;
mod cover_plan;
mod direction;
mod field;
mod findings;
mod green_ranking;
mod site_covariates;
mod hotspots;
mod local;
mod lanes;
mod meaning;
mod pictures;
mod positions;
mod surface;
mod survey;
mod trial_ground;
mod weights;

pub use best_strips::{CountedGreen, best_strips};
pub use cover_plan::{CoverPlan, CoverStep, Sheet, Strip};
pub use direction::{Direction, DirectionTried, Gain};
pub use field::Field;
pub use findings::{
    Association, Cluster, DistanceStep, Geary, Hotspots, Local, Moran, RegularityRow, Residuals,
};
pub use green_ranking::GreenRank;
pub use hotspots::hotspots;
pub use pictures::{PictureFile, pattern_pictures, pictures, pictures_of_green, share_picture};
pub use positions::{ClarkEvans, Pattern, Spot, pattern, positions_from_table};
pub use site_covariates::{
    CovariateColumn, CovariateFinding, covariates_from_table, site_covariates,
};
pub use surface::{FEWEST, Surface, SurfacePoint, surface};
pub use survey::{Survey, SurveyColumns, survey_from_table, survey_from_trial};
pub use trial_ground::{GroundPlot, Mapped, TrialGround, trial_ground};
pub use weights::Weights;
