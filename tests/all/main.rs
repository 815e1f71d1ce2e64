//! Pages, faults, architecture, migrations and the browser, over HTTP on a real PostgreSQL.

mod catalogue;
mod units;
