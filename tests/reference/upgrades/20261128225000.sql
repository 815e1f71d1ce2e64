-- Rows for what 20261128225000_batch_calendar.sql makes, as they were then.

insert into batch_calendar (batch_id, step, told, sequence, changed_at) overriding system value values
('1', 'feed-1', '\x3e64cc41cf8e07b43936d7bc4eaf8bdb8e2abcec1f44c7b915ac0a0c27ebc41a', '2', '2026-10-03 08:00:00+00')
on conflict (batch_id, step) do nothing;
