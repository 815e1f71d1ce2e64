-- The words by which recipes are found: title, honeys, style words, the maker's name.

create table recipe_search (
    recipe_id bigint primary key constraint recipe_search_recipe_fkey references recipes (id) on delete cascade,
    words tsvector not null
);
-- Without the pending list no save has to wait for its flush.
create index recipe_search_words on recipe_search using gin (words) with (fastupdate = off);

-- Accents off, all punctuation to spaces. Needs a database in UTF-8.
create function search_fold(raw text) returns text
language sql immutable parallel safe as $$
    select regexp_replace(
        regexp_replace(normalize(raw, nfkd), '[\u0300-\u036f]', '', 'g'),
        '[\u0001-\u002f\u003a-\u0040\u005b-\u0060\u007b-\u00bf\u2000-\u206f\u3000-\u303f]+', ' ', 'g')
$$;

-- Every typed word must be the beginning of a word; null when nothing typed can be searched for.
-- After search_fold no character is left that has a meaning in a tsquery.
create function search_query(typed text) returns tsquery
language sql stable parallel safe as $$
    select to_tsquery('simple', string_agg(word || ':*', ' & '))
    from (
        select word from regexp_split_to_table(search_fold(left(typed, 200)), ' ') as word
        where word <> '' limit 8
    ) as words
$$;

select grant_to_app('recipe_search', 'select, insert, update, delete');
