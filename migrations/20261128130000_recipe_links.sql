-- Links by which a recipe is read without being of the club, and what such a reader is told.

alter table recipes
    -- Whether its maker's name stands on what the links show.
    add column signed boolean not null default false,
    -- Whether search engines may list what the links show.
    add column searchable boolean not null default false,
    -- Whether it was started by a link on which the maker's name did not stand: then nobody learns it from here.
    add column started_unnamed boolean not null default false;

-- What somebody holds is a random token; here is only its hash. A link that is taken back is removed.
create table recipe_links (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint recipe_links_public_id_key unique
        constraint recipe_links_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    recipe_id bigint not null constraint recipe_links_recipe_fkey references recipes (id) on delete cascade,
    token_hash bytea not null constraint recipe_links_token_hash_key unique
        constraint recipe_links_hash_length check (octet_length(token_hash) = 32),
    -- For whom it was made, in the owner's own words.
    note text not null default '' constraint recipe_links_note_length check (char_length(note) <= 80),
    created_at timestamptz not null,
    -- The last day on which somebody else than the owner opened it.
    opened_on date
);
create index recipe_links_of_recipe on recipe_links (recipe_id);
select grant_to_app('recipe_links', 'select, insert, update, delete');

-- Whether the holder of this link may read the recipe now: beside recipe_visible the only way in. Nobody could take back
-- the links of a member who has left.
create function recipe_held(recipe recipes, held bytea) returns boolean
language sql stable parallel safe as $$
    select recipe.visibility = 'link' and recipe.binned_at is null and exists (
        select from recipe_links link join members owner on owner.id = recipe.owner_id and owner.left_at is null
        where link.recipe_id = recipe.id and link.token_hash = held)
$$;
