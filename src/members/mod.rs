//! Members: set-up of the keeper, sign-in, sessions, passwords, settings.
