//! How the plots of a trial are pegged out, green by green.

use super::super::Refusal;
use crate::design::{Green, Layout, Protocol};
use crate::fieldwork::pegging::{Method, Pegging, pegging as peg, straddling};
use crate::store::{LAYOUT, TrialFolder};

/// The plots of one green.
pub(in crate::commands) fn plots_on(green: &Green, layout: &Layout) -> Layout {
    green
        .name
        .as_deref()
        .map_or_else(|| layout.clone(), |name| layout.on_green(name))
}

/// How the plots are pegged out on each green that has some.
pub(in crate::commands) fn pegging(
    folder: &TrialFolder<'_>,
    protocol: &Protocol,
    layout: &Layout,
    greens: &[Green],
) -> Result<Vec<Pegging>, Refusal> {
    let mut all = Vec::with_capacity(greens.len());
    for green in greens {
        let here = plots_on(green, layout);
        if here.plots.is_empty() && !layout.plots.is_empty() {
            continue;
        }
        let name = green.name.as_deref();
        let pegged = peg(&green.outline, &here, protocol.plot.guard_m, name).map_err(|fault| {
            crate::Error {
                place: folder.shown(LAYOUT),
                ..fault
            }
        })?;
        all.push(pegged);
    }
    Ok(all)
}

/// Blocks and plots of all greens that straddle unlike ground, a sentence each.
pub(in crate::commands) fn straddling_on(
    protocol: &Protocol,
    layout: &Layout,
    greens: &[Green],
) -> Vec<String> {
    let each = greens.iter().map(|green| {
        let here = plots_on(green, layout);
        straddling(protocol, &green.outline, &here)
    });
    each.flatten().collect()
}

/// How the plots of a green are pegged out, in a sentence or two.
pub(in crate::commands) fn pegging_in_words(pegging: &Pegging) -> String {
    let on = pegging
        .green
        .as_ref()
        .map_or_else(String::new, |name| format!(" on {name}"));
    let way = match pegging.method {
        Method::TwoTapes => "by two tapes",
        Method::Squares => "by squares",
    };
    let [p, q] = &pegging.marks;
    format!(
        "Pegging out{on}: {way} from mark P ({:.2}, {:.2}) and mark Q ({:.2}, {:.2}), {} apart. {}",
        p.place.x_m,
        p.place.y_m,
        q.place.x_m,
        q.place.y_m,
        pegging.base(),
        pegging.because
    )
}
