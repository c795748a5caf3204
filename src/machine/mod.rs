//! Machine file to network: circuits, controllers, functions, faults, solve, meter.
