//! See the module of the same name in the library.
