-- What came after leaving was made: comments are opinions and go with the recipe that nobody else spoke of; tokens end with
-- their member; a jar that its owner shared is off the shelf when they are gone.

-- Whether others built on a recipe: started from it, judged it, or spoke of it.
create or replace function recipe_is_used_by_others(recipe recipes) returns boolean
language sql stable as $$
    select exists (select from revisions v join recipes r on r.started_from_id = v.id
                   where v.recipe_id = recipe.id and r.owner_id <> recipe.owner_id)
        or exists (select from recipe_ratings o where o.recipe_id = recipe.id and o.member_id <> recipe.owner_id)
        or exists (select from recipe_comments c where c.recipe_id = recipe.id and c.writer_id <> recipe.owner_id)
$$;

create or replace function remove_recipes(going bigint[]) returns void
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform set_config('mustwright.removing', 'for good', true);
    update recipe_drafts set started_from_id = null
        where started_from_id in (select id from revisions where recipe_id = any (going));
    update recipes set started_from_id = null where id = any (going) and started_from_id is not null;
    delete from recipe_ratings where recipe_id = any (going);
    delete from recipe_comment_words where comment_id in (select id from recipe_comments where recipe_id = any (going));
    delete from recipe_comments where recipe_id = any (going);
    delete from revision_numbers where revision_id in (select id from revisions where recipe_id = any (going));
    delete from revisions where recipe_id = any (going);
    -- What lists read goes with it; orders and meetings forget which it was.
    delete from recipes where id = any (going);
    perform set_config('mustwright.removing', '', true);
end
$$;

create function forget_ways_in() returns trigger
language plpgsql as $$
begin
    delete from member_tokens where member_id = new.id;
    update honey_jars set put_away = true where owner_id = new.id and not of_club and not put_away;
    return null;
end
$$;
create trigger members_leave_no_way_in after update of gone_at on members
    for each row when (old.gone_at is null and new.gone_at is not null) execute function forget_ways_in();
