//! Judge a reading, evidence, belief, next test, plan, the fault check.
