-- Rows for what 20261201095000_backups_by_themselves.sql makes, as they were then.

insert into backup_trials (id, tried_at, made_at, outcome, said) overriding system value values
('1', '2026-10-02 03:00:00+00', '2026-10-01 03:00:00+00', 'whole', 'The backup of Alder Reach Mead Makers: 12 members. Every row was the same.')
on conflict (id) do nothing;
