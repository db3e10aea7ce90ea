//! Stop lines and boundaries against published figures, recursion against simulation.

mod lines;
mod performance;
mod spending;
