-- On which day of the competition a flight is poured, and when it was: the ceiling of glasses is of a day, rest runs from the end.
alter table competition_flights
    add column day integer not null default 1 constraint competition_flights_day_range check (day between 1 and 30),
    add column poured_at timestamptz,
    add column done_at timestamptz,
    add column version integer not null default 1 constraint competition_flights_version_range check (version >= 1);
