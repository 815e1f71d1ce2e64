-- The calibration mead has tables of its own: no flight was ever made of it.

alter table competition_flights drop constraint competition_flights_kind_known,
    add constraint competition_flights_kind_known check (kind in ('first', 'final', 'best'));
