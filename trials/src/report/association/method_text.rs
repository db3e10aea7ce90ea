//! How trials were pooled, with the source of each step.

use halfgreen_analysis::meta_analysis::{BetweenVariance, IntervalMethod};

use crate::association::{Association, MethodAnswer};

/// A paragraph for each step.
pub(super) fn paragraphs(found: &Association) -> Vec<String> {
    let answer = &found.answer;
    let mut all = vec![
        "The unit is the trial. Each trial gives the natural logarithm of the ratio of mean counts, method to control. Its standard \
         error is the half-width of the interval that the trial's own verdict rests on, over the critical value of t that made it: a \
         club with few plots weighs no more than its own calibrated interval allows. Effects that came as a table were taken as they \
         stand there."
            .to_owned(),
        format!(
            "Effects are pooled by a random-effects model: the true effect differs from trial to trial with variance τ². {}",
            between(answer.method.between)
        ),
        interval(answer),
        steadied(answer),
        "Limits of τ² are those of the Q-profile (Viechtbauer 2007, Statistics in Medicine 26:37-52); I² is the share of the scatter that \
         is more than sampling error (Higgins & Thompson 2002, Statistics in Medicine 21:1539-1558), by the estimated τ². The prediction interval is \
         the average plus and minus t times the root of τ² and the squared standard error of the average (Higgins, Thompson & \
         Spiegelhalter 2009, JRSS A 172:137-159), with one degree of freedom fewer than trials. The shares of clubs follow from the same \
         law, and are estimates: how far clubs differ is itself known badly from few."
            .to_owned(),
        "Calls follow the rules of every trial's verdict, applied to the interval of the average ratio. Each club was left out in turn (of very many \
         those of the greatest weight). Whether small trials find other effects was asked by regression on one over the number of plots (Peters et al. 2006, JAMA \
         295:676-680), or on the standard error where sizes are not known or all alike (Egger et al. 1997, BMJ 315:629-634); with fewer than ten \
         trials the test finds little (Sterne et al. 2011, BMJ 343:d4002)."
            .to_owned(),
    ];
    if !answer.moderators.is_empty() {
        all.push(
            "Each thing that trials differ in was asked by itself by meta-regression (Knapp & Hartung 2003, Statistics in Medicine \
             22:2693-2710), and the p-values are adjusted for all of them by Holm's method. Clubs were not drawn for their ground: what is \
             found so is a lead, no cause."
                .to_owned(),
        );
    }
    if !found.methods.is_empty() {
        all.push(format!(
            "{} methods share the error rate of {}: limits and p-values are adjusted by Bonferroni's inequality, which holds whatever \
             trials the methods have in common.",
            found.methods.len() + 1,
            found.alpha
        ));
    }
    all
}

fn between(between: BetweenVariance) -> &'static str {
    match between {
        BetweenVariance::RestrictedMaximumLikelihood => {
            "τ² is estimated by restricted maximum likelihood (Raudenbush 2009, The Handbook of Research Synthesis, 2nd ed., ch. 16)."
        }
        BetweenVariance::DerSimonianLaird => {
            "τ² is estimated by moments (DerSimonian & Laird 1986, Controlled Clinical Trials 7:177-188)."
        }
        BetweenVariance::PauleMandel => {
            "τ² is estimated by the method of Paule & Mandel (1982, J. Res. Natl. Bur. Stand. 87:377-385)."
        }
    }
}

fn interval(answer: &MethodAnswer) -> String {
    let factor = answer.method.hartung_knapp_factor;
    let found = factor.map_or(String::new(), |f| format!(" Here it is {f:.3}."));
    match answer.method.interval {
        IntervalMethod::Normal => "The interval of the average is that of the normal law, as if τ² were known; with few trials it is too \
                                   narrow."
            .to_owned(),
        IntervalMethod::HartungKnappUnbounded => format!(
            "The interval of the average is that of Hartung & Knapp (2001, Statistics in Medicine 20:3875-3889), with the factor as it \
             comes.{found}"
        ),
        IntervalMethod::HartungKnapp => format!(
            "The interval of the average is that of Hartung & Knapp (2001, Statistics in Medicine 20:3875-3889): Student's t on one \
             degree of freedom fewer than trials, the variance multiplied by how far trials really scatter{}.{found}",
            if few(answer) {
                ""
            } else {
                ", though never by less than 1 (Röver, Knapp & Friede 2015, BMC Medical Research Methodology 15:99)"
            }
        ),
    }
}

/// Whether errors come with degrees of freedom.
fn few(answer: &MethodAnswer) -> bool {
    answer.trials.iter().any(|t| t.df.is_some())
}

/// What is done about errors that few plots give.
fn steadied(answer: &MethodAnswer) -> String {
    if !few(answer) {
        return "Standard errors are taken as known.".to_owned();
    }
    "An error from few plots is itself unsure, and weights made of it would pull the average. Each is drawn towards what the errors of all \
     trials have in common, the more the fewer its degrees of freedom (moderated variances; Smyth 2004, Statistical Applications in Genetics \
     and Molecular Biology 3:3)."
        .to_owned()
}
