-- What lists, facets and searches read: one flat row for each recipe, and the words that mistyped ones may mean.

-- What a formulation gives to lists beyond the first numbers. The next start reckons them for revisions that have none yet.
alter table revision_numbers
    -- Keys of the catalogue: what is in it.
    add column keys text[] not null default '{}',
    -- Names of what is in it besides honey, and of its yeasts.
    add column others text[] not null default '{}',
    add column yeasts text[] not null default '{}',
    add column ready_months integer,
    add column cost_per_bottle double precision,
    add column little_gear boolean not null default false;

-- Ordered and filtered by this alone; titles and names are read from their own tables once a page is known.
create table recipe_facets (
    recipe_id bigint primary key constraint recipe_facets_recipe_fkey references recipes (id) on delete cascade,
    public_id text collate "C" not null,
    owner_id bigint not null,
    -- Whether every member sees it, since when, and whether it lies in its owner's bin.
    listed boolean not null,
    listed_since timestamptz,
    binned boolean not null,
    updated_at timestamptz not null,
    -- The mean by which recipes rank, in thousandths; what nobody rated stands in the middle.
    score integer not null,
    name_key text collate "C" not null,
    abv_percent double precision,
    cost_per_bottle double precision,
    -- "a=" and a word of the title, "b=" of what is in it, "c=" of its notes, "d=" of who made it and with which yeast;
    -- the other letters stand before what facets ask for.
    words tsvector not null
);
create index recipe_facets_newest on recipe_facets (updated_at desc, public_id desc) where listed;
create index recipe_facets_best on recipe_facets (score desc, updated_at desc, public_id desc) where listed;
create index recipe_facets_by_name on recipe_facets (name_key, public_id) where listed;
create index recipe_facets_news on recipe_facets (greatest(listed_since, updated_at) desc, public_id desc) where listed;
create index recipe_facets_of_owner on recipe_facets (owner_id, updated_at desc, public_id desc);
-- Without the pending list no save has to wait for its flush.
create index recipe_facets_words on recipe_facets using gin (words) with (fastupdate = off);
select grant_to_app('recipe_facets', 'select, insert, update, delete');

-- Every word by which a recipe is found, with what is left of it when one letter is left out, or two of a long one: a
-- mistyped word meets it there.
create table recipe_words (
    word text collate "C" primary key,
    near text[] not null,
    checked_at timestamptz not null default now()
);
create index recipe_words_near on recipe_words using gin (near) with (fastupdate = off);
create index recipe_words_checked_at on recipe_words (checked_at);
select grant_to_app('recipe_words', 'select, insert, update, delete');

create function near_words(word text) returns text[]
language sql immutable parallel safe as $$
    with whole as (select left(word, 12) as part),
    once as (
        select distinct left(part, at - 1) || substr(part, at + 1) as part
        from whole, generate_series(1, length(part)) as at where length(part) >= 4
    ),
    twice as (
        select distinct left(once.part, at - 1) || substr(once.part, at + 1) as part
        from whole, once, generate_series(1, length(once.part)) as at where length(whole.part) >= 7
    )
    select array_agg(part) from (table whole union table once union table twice) as parts
$$;

-- Words as they are looked for, in the order of the text. After search_fold none has a mark in it that means something.
create function words_of(raw text, most integer) returns text[]
language sql immutable parallel safe as $$
    select coalesce(array_agg(left(lexeme, 40) order by at), '{}') from (
        select lexeme, positions[1] as at
        from unnest(to_tsvector('simple', search_fold(left(raw, 4000)))) order by positions[1] limit most
    ) as words
$$;

-- In steps of which a range needs few: what is asked for exactly is compared with the figure itself.
create function cost_step(cost double precision) returns integer
language sql immutable parallel safe as $$
    select greatest(0, least(40, ceil(4 * log(greatest(cost, 0.001))) + 12))::integer
$$;

create function facet_marks(family text, strength text, sweetness text, keys text[], abv double precision,
    cost double precision, ready_months integer, little_gear boolean, made integer, rating double precision)
returns text[] language sql immutable parallel safe as $$
    select array_remove(
        array['f=' || left(family, 60), 's=' || left(strength, 60), 't=' || left(sweetness, 60),
            'p=' || greatest(0, least(40, floor(abv)))::integer, 'n=' || cost_step(cost),
            case when little_gear then 'g=little' end]
        || array(select 'k=' || left(key, 80) from unnest(keys) as key)
        || array(select 'y=' || months from unnest(array[1, 2, 4, 6, 9, 12]) as months where ready_months <= months)
        || array(select 'm=' || times from unnest(array[1, 2, 3, 5, 10]) as times where made >= times)
        || array(select 'r=' || tenths from unnest(array[30, 35, 40, 45]) as tenths where rating * 10 >= tenths),
        null)
$$;

-- Renews the rows of these recipes, and adds their words to those that are known.
create function refresh_recipe_facets(subjects bigint[]) returns void
language plpgsql as $$
begin
    if subjects = '{}' then
        return;
    end if;
    insert into recipe_facets as known (recipe_id, public_id, owner_id, listed, listed_since, binned, updated_at, score,
        name_key, abv_percent, cost_per_bottle, words)
    select r.id, r.public_id, r.owner_id, seen.listed, case when seen.listed then r.updated_at end,
        r.binned_at is not null, r.updated_at,
        round(1000 * coalesce(r.rating_mean, 3))::integer,
        array_to_string(words_of(r.title, 40), ' '), n.abv_percent, n.cost_per_bottle,
        array_to_tsvector(array(
            select 'a=' || word from unnest(words_of(r.title, 40)) as word
            union select 'b=' || word from unnest(words_of(concat_ws(' ', array_to_string(n.honeys, ' '),
                array_to_string(n.others, ' '), n.style_family, n.strength, n.sweetness), 60)) as word
            union select 'c=' || word from unnest(words_of(v.document ->> 'notes', 80)) as word
            union select 'd=' || word from unnest(words_of(concat_ws(' ', m.name, array_to_string(n.yeasts, ' ')), 30)) as word
        ) || facet_marks(n.style_family, n.strength, n.sweetness, n.keys, n.abv_percent, n.cost_per_bottle,
            n.ready_months, n.little_gear, r.made_count, r.rating_mean))
    from recipes r
    join revisions v on v.recipe_id = r.id and v.number = r.version
    join revision_numbers n on n.revision_id = v.id
    join members m on m.id = r.owner_id
    -- Nobody has this key: what they see is what everybody sees.
    cross join lateral (select recipe_visible(r, 0) as listed) as seen
    where r.id = any (subjects)
    on conflict (recipe_id) do update set
        public_id = excluded.public_id, owner_id = excluded.owner_id, listed = excluded.listed,
        listed_since = case when excluded.listed then coalesce(known.listed_since, now()) end,
        binned = excluded.binned, updated_at = excluded.updated_at, score = excluded.score,
        name_key = excluded.name_key, abv_percent = excluded.abv_percent,
        cost_per_bottle = excluded.cost_per_bottle, words = excluded.words;
    -- In one order, so that two saves do not wait for each other.
    insert into recipe_words (word, near)
    select word, near_words(word)
    from (
        select distinct substr(lexeme, 3) collate "C" as word
        from recipe_facets f cross join unnest(tsvector_to_array(f.words)) as lexeme
        where f.recipe_id = any (subjects) and lexeme ~ '^[a-d]=[^0-9]{3}'
    ) as words
    where not exists (select from recipe_words known where known.word = words.word)
    order by word
    on conflict do nothing;
end
$$;

create function recipes_changed() returns trigger
language plpgsql as $$
begin
    perform refresh_recipe_facets(array(select id from changed));
    return null;
end
$$;
create trigger recipes_changed after update on recipes
    referencing new table as changed for each statement execute function recipes_changed();

create function revision_numbers_changed() returns trigger
language plpgsql as $$
begin
    perform refresh_recipe_facets(array(
        select r.id from changed c
        join revisions v on v.id = c.revision_id
        join recipes r on r.id = v.recipe_id and r.version = v.number));
    return null;
end
$$;
create trigger revision_numbers_made after insert on revision_numbers
    referencing new table as changed for each statement execute function revision_numbers_changed();
create trigger revision_numbers_changed after update on revision_numbers
    referencing new table as changed for each statement execute function revision_numbers_changed();

-- Recipes are found by their maker's name.
create function members_renamed() returns trigger
language plpgsql as $$
begin
    perform refresh_recipe_facets(array(
        select r.id from changed c
        join earlier e on e.id = c.id and e.name <> c.name
        join recipes r on r.owner_id = c.id));
    return null;
end
$$;
create trigger members_renamed after update on members
    referencing old table as earlier new table as changed for each statement execute function members_renamed();

select refresh_recipe_facets(array(select id from recipes));

drop table recipe_search;
drop function search_query(text);
