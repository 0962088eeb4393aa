#![doc = include_str!("laws.md")]
