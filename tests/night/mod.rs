//! What a night under sheets needs.

mod clock;
mod crew;
mod handling;
mod timetable;
mod tonight;
mod wind;
