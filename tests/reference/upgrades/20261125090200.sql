-- Rows for what 20261125090200_once_keys.sql makes, as they were then.

insert into once_keys (member_id, route, key, body_hash, location, created_at) overriding system value values
('1', 'POST /recipes/new', 'aaaabbbbccccdddd', '\x230d8358dc8e8890b4c58deeb62912ee2f20357ae92a5cc861b98e68fe31acb5', '/recipes/aaaabbbbccccdddd2222', '2026-10-01 10:00:00+00')
on conflict (member_id, route, key) do nothing;
