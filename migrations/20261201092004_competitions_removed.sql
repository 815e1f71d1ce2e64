-- A competition goes for good while it is a draft, or where it was a rehearsal: what members made is none of it. Into whichever
-- somebody entered a batch of theirs stays, with what was written of it.

create function remove_competition(going bigint) returns boolean
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform from competitions where id = going and (phase = 'draft' or rehearsal) for update;
    if not found or exists (
        select from competition_makers k join competition_entries e on e.id = k.entry_id
        where e.competition_id = going and k.batch_id is not null) then
        return false;
    end if;
    perform set_config('mustwright.removing', 'for good', true);
    delete from competition_results where competition_id = going;
    delete from competition_draws where competition_id = going;
    delete from competition_deeds where competition_id = going;
    delete from competition_orders where flight_id in (select id from competition_flights where competition_id = going);
    delete from competition_agreed where flight_id in (select id from competition_flights where competition_id = going);
    delete from competition_sheets where flight_id in (select id from competition_flights where competition_id = going);
    delete from competition_flights where competition_id = going;
    delete from competition_entries where competition_id = going;
    delete from competition_categories where competition_id = going;
    delete from competitions where id = going;
    perform set_config('mustwright.removing', '', true);
    return true;
end
$$;

revoke execute on function remove_competition(bigint) from public;
do $$
declare
    app_role text := current_setting('mustwright.app_role', true);
begin
    if app_role is not null and app_role <> '' and app_role <> current_user then
        execute format('grant execute on function remove_competition(bigint) to %I', app_role);
    end if;
end
$$;
