//! Pages of single calculations and of the methods behind the numbers.
