//! What a night under sheets needs.

mod clock;
mod crew;
mod grounds;
mod handling;
mod take_off;
mod timetable;
mod tonight;
mod wind;
