-- Rows for what 20261126120000_catalogue_entries.sql makes, as they were then.

insert into catalogue_entries (id, key, sort, name, withdrawn, version, created_at) overriding system value values
('1', 'club-aaaabbbbccccdddd4444', 'ingredient', 'Honey from the tarn', 'false', '1', '2026-09-01 10:00:00+00')
on conflict (id) do nothing;

insert into catalogue_entry_revisions (id, entry_id, number, deed, restored_from, document, author_id, created_at) overriding system value values
('1', '1', '1', 'made', null, '{"kind": "honey", "name": "Honey from the tarn"}', '1', '2026-09-01 10:00:00+00')
on conflict (id) do nothing;
