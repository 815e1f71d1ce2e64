-- An earlier wording of 20261128223000 was released, which did not hold words while a recipe is saved. Databases that it
-- made get what the present wording says.

create or replace function refresh_recipe_facets(subjects bigint[]) returns void
language plpgsql as $$
begin
    if subjects = '{}' then
        return;
    end if;
    -- Words are forgotten only while nobody saves: what is known stays known until this save is done.
    perform pg_advisory_xact_lock_shared(120351215583236);
    insert into recipe_facets as known (recipe_id, public_id, owner_id, listed, listed_since, binned, updated_at, score,
        name_key, abv_percent, cost_per_bottle, words)
    select r.id, r.public_id, r.owner_id, seen.listed, case when seen.listed then r.updated_at end,
        r.binned_at is not null, r.updated_at,
        round(1000 * coalesce(r.rating_mean, 3))::integer,
        array_to_string(stand.title, ' '), n.abv_percent, n.cost_per_bottle,
        array_to_tsvector(array(
            select 'a=' || word from unnest(stand.title) as word
            union select 'b=' || word from unnest(stand.title || stand.facts) as word
            union select 'c=' || word from unnest(stand.title || stand.facts || stand.notes) as word
        ) || facet_marks(n.style_family, n.strength, n.sweetness, n.keys, n.abv_percent, n.cost_per_bottle,
            n.ready_months, n.little_gear, r.made_count, r.rating_mean))
    from recipes r
    join revisions v on v.recipe_id = r.id and v.number = r.version
    join revision_numbers n on n.revision_id = v.id
    join members m on m.id = r.owner_id
    cross join lateral (select words_of(r.title, 40) as title,
        words_of(concat_ws(' ', array_to_string(n.honeys, ' '), array_to_string(n.others, ' '), n.style_family,
            n.strength, n.sweetness), 60) || words_of(concat_ws(' ', m.name, array_to_string(n.yeasts, ' ')), 30) as facts,
        words_of(v.document ->> 'notes', 80) as notes) as stand
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
        where f.recipe_id = any (subjects) and lexeme ~ '^c=[^0-9]{3}'
    ) as words
    where not exists (select from recipe_words known where known.word = words.word)
    order by word
    on conflict do nothing;
end
$$;
