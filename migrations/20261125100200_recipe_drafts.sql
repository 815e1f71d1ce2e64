-- What a maker has typed and not yet saved: one row per open form.

create table recipe_drafts (
    member_id bigint not null constraint recipe_drafts_member_fkey references members (id) on delete cascade,
    public_id text collate "C" not null
        constraint recipe_drafts_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    -- Null for a recipe that has never been saved.
    recipe_id bigint constraint recipe_drafts_recipe_fkey references recipes (id) on delete cascade,
    base_version integer,
    started_from_id bigint constraint recipe_drafts_started_from_fkey references revisions (id),
    title text not null default '',
    -- The form as typed: a list of [name, text] in the form's order.
    fields jsonb not null
        constraint recipe_drafts_fields_list check (jsonb_typeof(fields) = 'array')
        constraint recipe_drafts_fields_size check (octet_length(fields::text) <= 2000000),
    sequence bigint not null,
    created_at timestamptz not null,
    updated_at timestamptz not null,
    -- Set by the saved revision, which also empties the row. The sequence stays for a day, so that a request
    -- sent before the save and arriving after it cannot bring the draft back.
    closed_at timestamptz,
    constraint recipe_drafts_pkey primary key (member_id, public_id)
);

select grant_to_app('recipe_drafts', 'select, insert, update, delete');
