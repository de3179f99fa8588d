//! The command line: arguments, files, clock, exit status. The only part that prints.
