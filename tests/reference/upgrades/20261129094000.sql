-- Rows for what 20261129094000_competition_draws.sql makes, as they were then.

insert into competition_draws (id, competition_id, number, drawn, at) overriding system value values
('1', '1', '1', '4 11 17 23 38 42', '2026-10-24 17:38:51.127038+00')
on conflict (id) do nothing;
