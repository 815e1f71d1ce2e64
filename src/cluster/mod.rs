//! The private PostgreSQL cluster: find the programs, start, watch, stop.
