//! Did the method beat the control? The headline test and its interval.
