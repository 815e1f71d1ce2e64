-- Rows for what 20261128110000_club.sql makes, as they were then.

insert into backups (id, made_at, bytes) overriding system value values
('1', '2026-10-01 03:00:00+00', '1200000')
on conflict (id) do nothing;

insert into club (only_one, name, about, version, changed_by, changed_at) overriding system value values
('true', 'Alder Reach Mead Makers', 'We meet on the first Thursday of the month in the old boat house, to taste what is ready and to mix what is not yet.

Newcomers are welcome with or without a mead of their own. Ask Maren.', '1', '1', '2026-11-28 17:38:51.127038+00')
on conflict (only_one) do nothing;
