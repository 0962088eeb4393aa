//! Subcommands.
