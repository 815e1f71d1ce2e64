-- The club's own entries of the catalogue, beside the built-in ones, and everything they ever said.

create table catalogue_entries (
    id bigint generated always as identity primary key,
    -- What recipes hold: never changed, never given to another.
    key text collate "C" not null constraint catalogue_entries_key_key unique
        constraint catalogue_entries_key_shape check (key ~ '^club-[a-z2-7]{20}$'),
    sort text not null constraint catalogue_entries_sort_known check (sort in ('ingredient', 'yeast', 'feed')),
    -- The newest revision's name, so that two of the club's never look alike in a list.
    name text not null constraint catalogue_entries_name_length check (char_length(name) between 1 and 200),
    -- Withdrawn: offered no more, and still found by the recipes that hold it.
    withdrawn boolean not null default false,
    -- The number of the newest revision: what an edit must have seen.
    version integer not null default 1 constraint catalogue_entries_version_range check (version >= 1),
    created_at timestamptz not null
);
create unique index catalogue_entries_name_key on catalogue_entries (lower(name)) where not withdrawn;

create table catalogue_entry_revisions (
    id bigint generated always as identity primary key,
    entry_id bigint not null constraint catalogue_entry_revisions_entry_fkey references catalogue_entries (id),
    number integer not null constraint catalogue_entry_revisions_number_range check (number >= 1),
    -- What was done.
    deed text not null constraint catalogue_entry_revisions_deed_known
        check (deed in ('made', 'changed', 'withdrawn', 'put back', 'brought back')),
    -- The revision whose words were brought back.
    restored_from integer constraint catalogue_entry_revisions_restored_from_older check (restored_from < number),
    document jsonb not null
        constraint catalogue_entry_revisions_document_object check (jsonb_typeof(document) = 'object')
        constraint catalogue_entry_revisions_document_size check (octet_length(document::text) <= 100000),
    author_id bigint not null constraint catalogue_entry_revisions_author_fkey references members (id),
    created_at timestamptz not null,
    constraint catalogue_entry_revisions_number_key unique (entry_id, number)
);

-- Checked at commit, for an entry and its first revision name each other.
alter table catalogue_entries
    add constraint catalogue_entries_newest_revision_fkey foreign key (id, version)
        references catalogue_entry_revisions (entry_id, number) deferrable initially deferred;

create trigger catalogue_entry_revisions_are_final before update or delete on catalogue_entry_revisions
    for each row execute function refuse_change();
create trigger catalogue_entry_revisions_are_not_emptied before truncate on catalogue_entry_revisions
    for each statement execute function refuse_change();

select grant_to_app('catalogue_entries', 'select, insert, update');
select grant_to_app('catalogue_entry_revisions', 'select, insert');
