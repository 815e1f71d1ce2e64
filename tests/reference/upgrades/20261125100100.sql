-- Rows for what 20261125100100_recipe_search.sql makes, as they were then.

insert into recipe_search (recipe_id, words)
select id, to_tsvector('simple', search_fold(title)) from recipes
on conflict do nothing;
