//! A hidden fault on a simulated machine, and the debrief.
