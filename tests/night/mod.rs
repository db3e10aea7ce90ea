//! What a night under sheets needs.

mod clock;
mod crew;
mod cutting;
mod grounds;
mod handling;
mod ordering;
mod take_off;
mod timetable;
mod tonight;
mod wind;
