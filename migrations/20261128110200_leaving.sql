-- Leaving: the account is shut at once, thirty days later what was private goes, and what others built on stays under
-- a name that says nothing.

alter table members
    -- When the member left of their own will; let in again, it is null again.
    add column left_at timestamptz
        constraint members_who_left_are_shut_out check (left_at is null or disabled_at is not null),
    -- When their private things went. From then on nobody can be let in again.
    add column gone_at timestamptz
        constraint members_who_are_gone_had_left check (gone_at is null or left_at is not null);
create index members_left_at on members (left_at) where left_at is not null and gone_at is null;

-- Append-only tables: only what removes private things for good comes past, which alone sets this.
create or replace function refuse_change() returns trigger
language plpgsql as $$
begin
    if tg_op = 'DELETE' and current_setting('mustwright.removing', true) = 'for good' then
        return old;
    end if;
    raise exception 'rows of % are never changed or removed', tg_table_name
        using errcode = 'restrict_violation';
end
$$;

-- Whether others built on a recipe: started from it or judged it.
create function recipe_is_used_by_others(recipe recipes) returns boolean
language sql stable as $$
    select exists (select from revisions v join recipes r on r.started_from_id = v.id
                   where v.recipe_id = recipe.id and r.owner_id <> recipe.owner_id)
        or exists (select from recipe_ratings o where o.recipe_id = recipe.id and o.member_id <> recipe.owner_id)
$$;

-- Of these recipes those that may go: nobody else built on them, and none that stays was started from them.
create function recipes_that_may_go(candidates bigint[]) returns bigint[]
language plpgsql stable as $$
declare
    going bigint[];
    fewer bigint[];
begin
    select array_agg(r.id) into going from recipes r
        where r.id = any (candidates) and not recipe_is_used_by_others(r);
    loop
        select array_agg(g) into fewer from unnest(going) as g
            where not exists (select from revisions v join recipes r on r.started_from_id = v.id
                              where v.recipe_id = g and r.id <> all (going));
        exit when fewer is not distinct from going;
        going := fewer;
    end loop;
    return coalesce(going, '{}');
end
$$;

-- Removes recipes with everything that is theirs.
create function remove_recipes(going bigint[]) returns void
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform set_config('mustwright.removing', 'for good', true);
    update recipe_drafts set started_from_id = null
        where started_from_id in (select id from revisions where recipe_id = any (going));
    update recipes set started_from_id = null where id = any (going) and started_from_id is not null;
    delete from recipe_ratings where recipe_id = any (going);
    delete from revision_numbers where revision_id in (select id from revisions where recipe_id = any (going));
    delete from revisions where recipe_id = any (going);
    delete from recipes where id = any (going);
    perform set_config('mustwright.removing', '', true);
end
$$;

-- What lay in the bin since before `until`, and what nobody else built on, goes; tells how many recipes went.
create function empty_bins(until timestamptz) returns bigint
language plpgsql security definer set search_path = public, pg_temp as $$
declare
    going bigint[];
begin
    going := recipes_that_may_go(array(select id from recipes where binned_at <= until));
    perform remove_recipes(going);
    return coalesce(cardinality(going), 0);
end
$$;

-- The private things of a member who left before `until` go; the row stays, without a name. False when there is no such
-- member.
create function forget_member(who bigint, until timestamptz, at timestamptz) returns boolean
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform from members where id = who and left_at <= until and gone_at is null for update;
    if not found then
        return false;
    end if;
    perform remove_recipes(recipes_that_may_go(array(
        select id from recipes where owner_id = who and (visibility <> 'club' or binned_at is not null))));
    -- What stays though it was private is seen by nobody: it only keeps its place in what others made of it.
    update recipes set visibility = 'private' where owner_id = who and (visibility = 'link' or binned_at is not null);
    delete from recipe_drafts where member_id = who;
    delete from sessions where member_id = who;
    delete from one_time_links where member_id = who;
    delete from once_keys where member_id = who;
    delete from waiting_imports where member_id = who;
    delete from imported_things where member_id = who;
    update members set mentor_id = null where mentor_id = who;
    update members set name = 'former member', name_key = 'former. ' || public_id, password_hash = null,
        role = 'member', units = 'metric', theme = 'device', zone = 'UTC', sachet_g = 5, whole_form = false,
        newcomers_may_ask = false, mentor_id = null, invite_id = null, gone_at = at
        where id = who;
    return true;
end
$$;

-- Only the serving role calls these, and no other role of the server.
revoke execute on function remove_recipes(bigint[]), empty_bins(timestamptz),
    forget_member(bigint, timestamptz, timestamptz) from public;
do $$
declare
    app_role text := current_setting('mustwright.app_role', true);
begin
    if app_role is not null and app_role <> '' and app_role <> current_user then
        execute format('grant execute on function empty_bins(timestamptz),
            forget_member(bigint, timestamptz, timestamptz) to %I', app_role);
    end if;
end
$$;
