//! What a night under sheets needs: sheets against the wind, people, hours, light.
//!
//! | part | in -> out |
//! |---|---|
//! | [`takeoff`] | ground and a roll -> strips that cover it, and how much sheet that is |
//! | [`rolls`] | lengths of strips, rolls of the shed and on sale -> which is cut from which, at least cost |
//! | [`laps`] | strips and the wind's bearing -> which lies over which, and so the laying order |
//! | [`order`] | ground, sorts of roll, wind -> what to buy, to cut, to lay |
//! | [`order_sheet`] | the order -> pages to print, tables for the merchant |
//! | [`wind`] | gust, sheets -> lift, weights and their spacing, or not tonight |
//! | [`handling`] | strips, dry and wet -> how many people lift one, or into what sections |
//! | [`crew`] | rates or earlier nights -> person-minutes, people needed |
//! | [`clock`] | date, place, time zone -> sunset, twilight, sunrise; the night by the clock |
//! | [`covers`] | strips at their places -> edges and laps that weights lie along |
//! | [`emergence`] | animals by stage -> how many had left the larval stage already |
//! | [`tonight`] | all of it -> one night, and what must be said beside it |
//! | [`running_order`] | a night -> one page to go by |

pub mod clock;
pub mod covers;
pub mod crew;
pub mod emergence;
pub mod handling;
pub mod laps;
pub mod order;
pub mod order_sheet;
pub mod rolls;
pub mod running_order;
pub mod takeoff;
pub mod tonight;
mod whole;
pub mod wind;
