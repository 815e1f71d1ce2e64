-- What the club calls itself and says of itself. Without a row the settings of the server say how it is called.

create table club (
    only_one boolean default true constraint club_pkey primary key constraint club_only_one check (only_one),
    name text not null constraint club_name_length check (char_length(name) between 1 and 80),
    -- Plain paragraphs for the first page.
    about text not null default '' constraint club_about_length check (char_length(about) <= 4000),
    -- What an edit must have seen, and what tells each server that it knows an older name.
    version integer not null default 1 constraint club_version_range check (version >= 1),
    changed_by bigint constraint club_changed_by_fkey references members (id) on delete set null,
    changed_at timestamptz not null
);
select grant_to_app('club', 'select, insert, update');

-- When a backup was made, so that the keeper sees how old the last one is.
create table backups (
    id bigint generated always as identity constraint backups_pkey primary key,
    made_at timestamptz not null,
    bytes bigint not null constraint backups_bytes_range check (bytes > 0)
);
select grant_to_app('backups', 'select, insert');

-- The health page tells which migrations were applied. The table is sqlx's own, where sqlx migrates.
do $$
begin
    if to_regclass('_sqlx_migrations') is not null then
        perform grant_to_app('_sqlx_migrations', 'select');
    end if;
end
$$;
