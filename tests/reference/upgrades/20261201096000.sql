-- Rows for what 20261201096000_jobs.sql makes, as they were then.

insert into jobs (id, kind, key, about, asked_at, due_at, turn, held_until, tries, begun_at, done_at, failed_at, failure, ended_at) overriding system value values
('1', 'backup', '', '{}', '2026-11-28 17:56:53.531921+00', '2026-10-03 02:30:00+00', '0', null, '0', null, null, null, null, null)
on conflict (id) do nothing;
