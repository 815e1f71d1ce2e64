-- A sensor's name and what it calls things can be changed: what a change must have seen.
alter table batch_sensors
    add column version integer not null default 1 constraint batch_sensors_version_range check (version >= 1);
