-- Rows for what 20261128130000_recipe_links.sql makes, as they were then.

insert into recipe_links (id, public_id, recipe_id, token_hash, note, created_at, opened_on) overriding system value values
('1', 'qc77my2npr7e45mwrgux', '2', '\x527ff1171cb9563aa49b64736d6225bf6e95171ed5948176c2a8bedae88dc294', 'the people next door', '2026-10-31 17:38:51.127038+00', null)
on conflict (id) do nothing;
