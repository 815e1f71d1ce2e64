-- Files of exports that wait to be taken in, and what was taken in from them.

create table waiting_imports (
    member_id bigint constraint waiting_imports_pkey primary key
        constraint waiting_imports_member_fkey references members (id) on delete cascade,
    archive bytea not null constraint waiting_imports_size check (octet_length(archive) <= 16777216),
    -- Kept for an hour.
    sent_at timestamptz not null
);
select grant_to_app('waiting_imports', 'select, insert, update, delete');

-- One row for each thing that came from elsewhere, so that the same export is not taken in twice.
create table imported_things (
    member_id bigint not null constraint imported_things_member_fkey references members (id) on delete cascade,
    kind text not null constraint imported_things_kind_length check (char_length(kind) between 1 and 40),
    -- Its public id where it came from.
    origin_id text collate "C" not null
        constraint imported_things_origin_length check (char_length(origin_id) between 1 and 200),
    -- Its public id here; null where it has no place in this club, such as an opinion on what is not here.
    place text collate "C",
    -- What this club has no column for; the whole thing where it has no place.
    said jsonb not null default '{}'
        constraint imported_things_said_object check (jsonb_typeof(said) = 'object'),
    imported_at timestamptz not null,
    constraint imported_things_pkey primary key (member_id, kind, origin_id)
);
create index imported_things_place on imported_things (kind, place) where place is not null;
select grant_to_app('imported_things', 'select, insert, update, delete');
