-- Rows for what 20261128090000_recipe_ratings.sql makes, as they were then.

insert into recipe_ratings (recipe_id, member_id, revision_number, stars, basis, rated_at) overriding system value values
('1', '2', '2', '5', 'made', '2026-11-17 17:38:51.127038+00'),
('1', '3', '3', '4', 'tasted', '2026-08-25 17:38:51.127038+00')
on conflict (recipe_id, member_id) do nothing;
