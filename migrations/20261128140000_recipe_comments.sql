-- What members say about a recipe in their own words, and everything they ever said.

create table recipe_comments (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint recipe_comments_public_id_key unique
        constraint recipe_comments_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    -- They go with a recipe that is removed for good.
    recipe_id bigint not null constraint recipe_comments_recipe_fkey references recipes (id) on delete cascade,
    writer_id bigint not null constraint recipe_comments_writer_fkey references members (id),
    -- The revision they speak of; null for the recipe as a whole.
    revision_number integer,
    -- The number of the newest words: what an edit must have seen.
    version integer not null default 1 constraint recipe_comments_version_range check (version >= 1),
    written_at timestamptz not null,
    -- Removed: its place stays, its words are shown to nobody but their writer.
    removed_at timestamptz,
    removed_by bigint constraint recipe_comments_removed_by_fkey references members (id),
    removed_as text constraint recipe_comments_removed_as_known check (removed_as in ('writer', 'owner', 'keeper')),
    constraint recipe_comments_removed_whole check
        (num_nonnulls(removed_at, removed_by, removed_as) in (0, 3)),
    constraint recipe_comments_revision_fkey foreign key (recipe_id, revision_number)
        references revisions (recipe_id, number) on delete cascade
);

create table recipe_comment_words (
    comment_id bigint not null constraint recipe_comment_words_comment_fkey
        references recipe_comments (id) on delete cascade,
    number integer not null constraint recipe_comment_words_number_range check (number >= 1),
    words text not null constraint recipe_comment_words_length check (char_length(words) between 1 and 4000),
    written_at timestamptz not null,
    constraint recipe_comment_words_pkey primary key (comment_id, number)
);

-- Checked at commit, for a comment and its first words name each other.
alter table recipe_comments
    add constraint recipe_comments_newest_words_fkey foreign key (id, version)
        references recipe_comment_words (comment_id, number) deferrable initially deferred;

create trigger recipe_comment_words_are_final before update or delete on recipe_comment_words
    for each row execute function refuse_change();
create trigger recipe_comment_words_are_not_emptied before truncate on recipe_comment_words
    for each statement execute function refuse_change();

create index recipe_comments_of_recipe on recipe_comments (recipe_id, id desc);
create index recipe_comments_of_writer on recipe_comments (writer_id);
-- The best rated first: what pairings read.
create index recipes_best_rated on recipes (rating_mean desc, id) where rating_mean is not null and binned_at is null;

select grant_to_app('recipe_comments', 'select, insert, update');
select grant_to_app('recipe_comment_words', 'select, insert');
