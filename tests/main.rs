//! One test binary: each module names what it holds the program against.

mod cells;
mod circuit;
mod codes;
mod belief;
mod fault_check;
mod house;
mod machine;
mod machine_commands;
mod machine_problems;
mod machine_sense;
mod safety;
mod second_opinion;
mod plan_matrix;
mod likeness;
mod loading;
mod journal;
mod support;
mod locate;
mod locate_solved;
mod repair;
mod repair_sheet;
mod shipped_trees;
mod sequencing;
mod sequencing_published;
mod units;
mod wire_commands;
