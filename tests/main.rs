//! One test binary: each module names what it holds the program against.

mod circuit;
mod codes;
mod house;
mod journal;
mod support;
mod sequencing;
