//! Events and the stepper: state and input to state and effects.
