//! The plan by night and by green.

use serde::Serialize;

use super::file::{Night, SeasonFile};
use super::ground::{Green, Pieces, pieces};
use super::plan::{Job, Plan, Room, STEPS, best_plan};

/// A night of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NightRow {
    /// Number of the night, from 1.
    pub night: usize,
    /// Its date; null where none was given.
    pub date: Option<String>,
    /// People.
    pub people: u64,
    /// Person-hours that there are.
    pub hours_available: f64,
    /// Person-hours that the plan takes.
    pub hours: f64,
    /// Sheet that it takes, square metres.
    pub sheet_m2: f64,
    /// What is covered, in the order of the greens.
    pub covers: Vec<PieceRow>,
}

/// A piece of ground that is covered on a night.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PieceRow {
    /// Green.
    pub green: String,
    /// Which piece of the green, from 1.
    pub piece: usize,
    /// Of how many.
    pub of: usize,
    /// Ground, square metres.
    pub area_m2: f64,
    /// Sheet, laps and edges included, square metres.
    pub sheet_m2: f64,
    /// Person-hours on this night.
    pub hours: f64,
    /// Larvae that are expected on it.
    pub larvae: f64,
}

/// How far the plan reaches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Reach {
    /// Larvae that are expected on the ground covered, times priorities.
    pub worth: f64,
    /// What no plan can exceed.
    pub bound: f64,
    /// Whether the plan is proven best.
    pub proven: bool,
    /// How far it may be below the best, per cent of the bound.
    pub gap_percent: f64,
    /// Larvae that are expected on all greens, times priorities.
    pub of: f64,
}

/// The plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    /// Each night.
    pub nights: Vec<NightRow>,
    /// How each green is cut; `None` where no night suffices for any piece.
    pub pieces: Vec<Option<Pieces>>,
    /// Nights of each green's pieces, in the order of the pieces; empty where a piece is left.
    pub on: Vec<Vec<Vec<usize>>>,
    /// How far it reaches.
    pub reach: Reach,
}

impl Schedule {
    /// Share of a green that is covered.
    #[must_use]
    pub fn share(&self, green: usize) -> f64 {
        let pieces = &self.on[green];
        let covered = pieces.iter().filter(|on| !on.is_empty()).count();
        if pieces.is_empty() {
            0.0
        } else {
            covered as f64 / pieces.len() as f64
        }
    }
}

/// Puts greens on nights so that most larvae, each counted by the priority of its green, lie on covered ground.
pub(super) fn schedule(file: &SeasonFile, greens: &[Green]) -> Schedule {
    let cut: Vec<Option<Pieces>> = greens
        .iter()
        .map(|g| pieces(g.sheet_m2, &file.sheet, &file.work, &file.nights))
        .collect();
    let mut jobs = Vec::new();
    for (at, (green, pieces)) in greens.iter().zip(&cut).enumerate() {
        let Some(pieces) = pieces else { continue };
        let worth = green.larvae().estimate * green.priority / pieces.number as f64;
        jobs.extend(std::iter::repeat_n(
            Job {
                worth,
                sheet_m2: pieces.sheet_m2,
                hours: pieces.hours,
                nights: file.nights_each,
                alike: at,
            },
            pieces.number,
        ));
    }
    let room = |night: &Night| Room {
        sheet_m2: file.sheet.owned_m2,
        hours: night.person_hours(),
    };
    let rooms: Vec<Room> = file.nights.iter().map(room).collect();
    let mut plan = best_plan(&jobs, &rooms, STEPS);
    best_nights_first(&jobs, &rooms, &mut plan);
    let mut rest = plan.nights.into_iter();
    let on: Vec<Vec<Vec<usize>>> = cut
        .iter()
        .map(|c| rest.by_ref().take(c.map_or(0, |c| c.number)).collect())
        .collect();
    let of = greens
        .iter()
        .map(|g| g.larvae().estimate * g.priority)
        .sum();
    let gap = if plan.bound > 0.0 {
        100.0 * (1.0 - plan.worth / plan.bound)
    } else {
        0.0
    };
    Schedule {
        nights: night_rows(file, greens, &cut, &on),
        pieces: cut,
        on,
        reach: Reach {
            worth: plan.worth,
            bound: plan.bound,
            proven: plan.proven,
            gap_percent: gap.max(0.0),
            of,
        },
    }
}

/// Puts what is worth most on the earliest of nights that are alike: weather may take the later ones.
fn best_nights_first(jobs: &[Job], rooms: &[Room], plan: &mut Plan) {
    let mut worth = vec![0.0; rooms.len()];
    for (job, on) in jobs.iter().zip(&plan.nights) {
        for night in on {
            worth[*night] += job.worth;
        }
    }
    let mut to: Vec<usize> = (0..rooms.len()).collect();
    for first in 0..rooms.len() {
        let alike: Vec<usize> = (0..rooms.len())
            .filter(|n| rooms[*n] == rooms[first])
            .collect();
        if alike[0] != first {
            continue;
        }
        let mut by_worth = alike.clone();
        by_worth.sort_by(|a, b| worth[*b].total_cmp(&worth[*a]).then(a.cmp(b)));
        for (from, night) in by_worth.into_iter().zip(alike) {
            to[from] = night;
        }
    }
    for on in &mut plan.nights {
        for night in on.iter_mut() {
            *night = to[*night];
        }
        on.sort_unstable();
    }
}

fn night_rows(
    file: &SeasonFile,
    greens: &[Green],
    cut: &[Option<Pieces>],
    on: &[Vec<Vec<usize>>],
) -> Vec<NightRow> {
    let row = |(at, night): (usize, &Night)| {
        let mut covers = Vec::new();
        for ((green, pieces), on) in greens.iter().zip(cut).zip(on) {
            let Some(pieces) = pieces else { continue };
            for (piece, _) in on.iter().enumerate().filter(|(_, on)| on.contains(&at)) {
                let share = 1.0 / pieces.number as f64;
                covers.push(PieceRow {
                    green: green.name.clone(),
                    piece: piece + 1,
                    of: pieces.number,
                    area_m2: green.area_m2 * share,
                    sheet_m2: pieces.sheet_m2,
                    hours: pieces.hours,
                    larvae: green.larvae().estimate * share,
                });
            }
        }
        NightRow {
            night: at + 1,
            date: night.date.map(|d| d.to_string()),
            people: night.people,
            hours_available: night.person_hours(),
            hours: covers.iter().map(|c| c.hours).sum(),
            sheet_m2: covers.iter().map(|c| c.sheet_m2).sum(),
            covers,
        }
    };
    file.nights.iter().enumerate().map(row).collect()
}
