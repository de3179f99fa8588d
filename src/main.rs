//! The command.

mod cli;

fn main() {}
