-- Recipes, their revisions, and the numbers that lists show.

create table recipes (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint recipes_public_id_key unique
        constraint recipes_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint recipes_owner_fkey references members (id),
    -- The newest revision's title, so that lists and searches need not open documents.
    title text not null constraint recipes_title_length check (char_length(title) between 1 and 120),
    visibility text not null default 'private'
        constraint recipes_visibility_known check (visibility in ('private', 'club', 'link')),
    -- The revision from which a maker started their own.
    started_from_id bigint,
    -- The number of the newest revision: what an edit must have seen.
    version integer not null default 1 constraint recipes_version_range check (version >= 1),
    created_at timestamptz not null,
    updated_at timestamptz not null,
    binned_at timestamptz
);

create table revisions (
    id bigint generated always as identity primary key,
    recipe_id bigint not null constraint revisions_recipe_fkey references recipes (id),
    number integer not null constraint revisions_number_range check (number >= 1),
    title text not null constraint revisions_title_length check (char_length(title) between 1 and 120),
    document jsonb not null
        constraint revisions_document_object check (jsonb_typeof(document) = 'object')
        constraint revisions_document_size check (octet_length(document::text) <= 1000000),
    note text not null default '' constraint revisions_note_length check (char_length(note) <= 2000),
    -- Set when this revision brings back the document of an older one.
    restored_from integer constraint revisions_restored_from_older check (restored_from < number),
    author_id bigint not null constraint revisions_author_fkey references members (id),
    created_at timestamptz not null,
    constraint revisions_number_key unique (recipe_id, number)
);

-- Checked at commit, for a recipe and its first revision name each other.
alter table recipes
    add constraint recipes_newest_revision_fkey foreign key (id, version)
        references revisions (recipe_id, number) deferrable initially deferred,
    add constraint recipes_started_from_fkey foreign key (started_from_id) references revisions (id);

create trigger revisions_are_final before update or delete on revisions
    for each row execute function refuse_change();
create trigger revisions_are_not_emptied before truncate on revisions
    for each statement execute function refuse_change();

-- Apart from the revisions because a newer engine computes these again, while a revision never changes.
create table revision_numbers (
    revision_id bigint primary key constraint revision_numbers_revision_fkey references revisions (id),
    volume_l double precision,
    og double precision,
    fg double precision,
    abv_percent double precision,
    honey_kg double precision,
    honeys text[] not null,
    style_family text,
    strength text,
    sweetness text,
    problems integer not null constraint revision_numbers_problems_range check (problems >= 0),
    engine_version text not null
);

create index recipes_newest on recipes (updated_at desc, public_id desc) where binned_at is null;
create index recipes_of_owner on recipes (owner_id, updated_at desc, public_id desc);
create index recipes_started_from on recipes (started_from_id) where started_from_id is not null;

-- Who sees a recipe: the one place in the database that says so. A stranger is a null viewer. No role sees
-- more than a member does. A recipe shared by link is read by its link alone, which no list knows.
create function recipe_visible(recipe recipes, viewer_id bigint) returns boolean
language sql immutable parallel safe as $$
    select viewer_id is not null
        and (recipe.owner_id = viewer_id or (recipe.visibility = 'club' and recipe.binned_at is null))
$$;

select grant_to_app('recipes', 'select, insert, update');
select grant_to_app('revisions', 'select, insert');
select grant_to_app('revision_numbers', 'select, insert, update');
