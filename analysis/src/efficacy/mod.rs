//! The trade's formulas for efficacy, each with an interval.
