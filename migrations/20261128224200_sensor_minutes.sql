-- A log in short: what people told, every correction with what it corrects, and of each sensor the last reading of each hour.
-- What a sensor told besides says gravity and temperature of the must and nothing else, unless it came from elsewhere: such a
-- reading is not shortened.

create function is_of_sensor(e batch_entries) returns boolean
language sql immutable parallel safe as $$
    select e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck
$$;

create index batch_entries_odd on batch_entries (batch_id, entry)
    where came_from = 'sensor' and kind = 'reading' and version = 1 and not struck
        and (typed <> '{}' or data - '{sg,must_temperature_c,instrument}'::text[] <> '{}');

create view batch_logs_in_short as
    select e.* from batch_entries e
    where not (e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck)
    union all
    select e.* from batch_sensor_hours h join batch_entries e on e.batch_id = h.batch_id and e.entry = h.entry and e.version = 1
    union all
    select e.* from batch_entries n join batch_entries e on e.batch_id = n.batch_id and e.entry = n.entry and e.version = 1
    where not (n.came_from = 'sensor' and n.kind = 'reading' and n.version = 1 and not n.struck) and n.version = 2
        and is_of_sensor(e)
    union all
    select e.* from batch_entries e
    where e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck
        and (e.typed <> '{}' or e.data - '{sg,must_temperature_c,instrument}'::text[] <> '{}')
        and not exists (select from batch_entries n
            where n.batch_id = e.batch_id and n.entry = e.entry and n.version = 2)
        and not exists (select from batch_sensor_hours h where h.batch_id = e.batch_id and h.hour = hour_of(e.at)
            and h.instrument = left(coalesce(e.data->>'instrument', ''), 100) and h.entry = e.entry);

-- What is not in it.
create view batch_sensor_minutes as
    select e.batch_id, e.entry, e.at, e.recorded_at, e.data->>'instrument' as instrument, e.data->>'sg' as sg,
        e.data->>'must_temperature_c' as must_c
    from batch_entries e
    where e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck
        and not (e.typed <> '{}' or e.data - '{sg,must_temperature_c,instrument}'::text[] <> '{}')
        and not exists (select from batch_entries n
            where n.batch_id = e.batch_id and n.entry = e.entry and n.version = 2)
        and not exists (select from batch_sensor_hours h where h.batch_id = e.batch_id and h.hour = hour_of(e.at)
            and h.instrument = left(coalesce(e.data->>'instrument', ''), 100) and h.entry = e.entry);

select grant_to_app('batch_logs_in_short', 'select');
select grant_to_app('batch_sensor_minutes', 'select');
