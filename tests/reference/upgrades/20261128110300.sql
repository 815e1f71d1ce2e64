-- Rows for what 20261128110300_imports.sql makes, as they were then.

insert into imported_things (member_id, kind, origin_id, place, said, imported_at) overriding system value values
('1', 'recipe', 'aaaabbbbccccdddd5555', null, '{"title": "From elsewhere"}', '2026-10-01 10:10:00+00')
on conflict (member_id, kind, origin_id) do nothing;

insert into waiting_imports (member_id, archive, sent_at) overriding system value values
('1', '\x504b0506', '2026-10-01 10:00:00+00')
on conflict (member_id) do nothing;
