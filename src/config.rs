//! Every setting: its name, its default, its check.
