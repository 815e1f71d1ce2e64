-- A sensor tells every minute. All of it stays in the log; reckoning and pages read of each sensor and hour the last reading, with
-- how many there were and between which values. That is kept as entries are written, so that no page looks at every minute.

create table batch_sensor_hours (
    batch_id bigint not null constraint batch_sensor_hours_batch_fkey references batches (id) on delete cascade,
    -- Hours since 1970.
    hour bigint not null,
    -- What it was read with; what lies beyond a hundred letters does not tell sensors apart.
    instrument text not null,
    -- The last of them, which is reckoned with, as it stands in the log: a page of hours is read faster than a thousand entries.
    entry integer not null,
    at timestamptz not null,
    recorded_at timestamptz not null,
    data jsonb not null,
    readings integer not null constraint batch_sensor_hours_readings_range check (readings >= 1),
    sg_low double precision,
    sg_high double precision,
    must_low_c double precision,
    must_high_c double precision,
    constraint batch_sensor_hours_pkey primary key (batch_id, hour, instrument)
);

-- What was written by people, and every correction: all that a page reads of a log besides the hours.
create index batch_entries_told on batch_entries (batch_id, entry, version)
    where not (came_from = 'sensor' and kind = 'reading' and version = 1 and not struck);
-- A log from its beginning on.
create index batch_entries_in_time on batch_entries (batch_id, at, entry);

create function hour_of(at timestamptz) returns bigint
language sql immutable parallel safe as $$
    select floor(extract(epoch from at) / 3600)::bigint
$$;

-- Readings of sensors as they came, which nobody has corrected or taken out.
create view batch_sensor_readings as
    select e.batch_id, hour_of(e.at) as hour, left(coalesce(e.data->>'instrument', ''), 100) as instrument, e.entry, e.at,
        (e.data->>'sg')::double precision as sg, (e.data->>'must_temperature_c')::double precision as must_c
    from batch_entries e
    where e.came_from = 'sensor' and e.kind = 'reading' and e.version = 1 and not e.struck
        and not exists (select from batch_entries n
            where n.batch_id = e.batch_id and n.entry = e.entry and n.version > 1);

-- Only what is new is looked at, unless something is corrected: then the hours that it touches are told anew.
create function keep_sensor_hours() returns trigger
language plpgsql security definer set search_path = public, pg_temp as $$
declare
    batches bigint[];
    hours bigint[];
begin
    if exists (select from new_rows where version > 1) then
        select array_agg(t.batch_id), array_agg(t.hour) into batches, hours from (
            select distinct e.batch_id, hour_of(e.at) as hour
            from (select distinct batch_id, entry from new_rows) n
            join batch_entries e on e.batch_id = n.batch_id and e.entry = n.entry
            where e.came_from = 'sensor' and e.kind = 'reading') t;
        delete from batch_sensor_hours h using unnest(batches, hours) as t(batch_id, hour)
            where h.batch_id = t.batch_id and h.hour = t.hour;
        insert into batch_sensor_hours (batch_id, hour, instrument, entry, at, recorded_at, data, readings, sg_low, sg_high,
                must_low_c, must_high_c)
            select t.batch_id, t.hour, t.instrument, l.entry, l.at, l.recorded_at, l.data, t.readings, t.sg_low, t.sg_high,
                t.must_low_c, t.must_high_c
            from (select r.batch_id, r.hour, r.instrument, (array_agg(r.entry order by r.at desc, r.entry desc))[1] as entry,
                    count(*) as readings, min(r.sg) as sg_low, max(r.sg) as sg_high, min(r.must_c) as must_low_c,
                    max(r.must_c) as must_high_c
                from unnest(batches, hours) as t(batch_id, hour)
                join batch_sensor_readings r on r.batch_id = t.batch_id and r.hour = t.hour
                    and r.at >= to_timestamp(t.hour * 3600) and r.at < to_timestamp(t.hour * 3600 + 3600)
                group by r.batch_id, r.hour, r.instrument) t
            join batch_entries l on l.batch_id = t.batch_id and l.entry = t.entry and l.version = 1;
        return null;
    end if;
    insert into batch_sensor_hours as h (batch_id, hour, instrument, entry, at, recorded_at, data, readings, sg_low, sg_high,
            must_low_c, must_high_c)
        select t.batch_id, t.hour, t.instrument, l.entry, l.at, l.recorded_at, l.data, t.readings, t.sg_low, t.sg_high,
            t.must_low_c, t.must_high_c
        from (select n.batch_id, hour_of(n.at) as hour, left(coalesce(n.data->>'instrument', ''), 100) as instrument,
                (array_agg(n.entry order by n.at desc, n.entry desc))[1] as entry, count(*) as readings,
                min((n.data->>'sg')::double precision) as sg_low, max((n.data->>'sg')::double precision) as sg_high,
                min((n.data->>'must_temperature_c')::double precision) as must_low_c,
                max((n.data->>'must_temperature_c')::double precision) as must_high_c
            from new_rows n
            where n.came_from = 'sensor' and n.kind = 'reading' and not n.struck
            group by 1, 2, 3) t
        join batch_entries l on l.batch_id = t.batch_id and l.entry = t.entry and l.version = 1
        on conflict (batch_id, hour, instrument) do update set
            entry = case when (excluded.at, excluded.entry) > (h.at, h.entry) then excluded.entry else h.entry end,
            recorded_at = case when (excluded.at, excluded.entry) > (h.at, h.entry) then excluded.recorded_at else h.recorded_at end,
            data = case when (excluded.at, excluded.entry) > (h.at, h.entry) then excluded.data else h.data end,
            at = greatest(h.at, excluded.at),
            readings = h.readings + excluded.readings,
            sg_low = least(h.sg_low, excluded.sg_low),
            sg_high = greatest(h.sg_high, excluded.sg_high),
            must_low_c = least(h.must_low_c, excluded.must_low_c),
            must_high_c = greatest(h.must_high_c, excluded.must_high_c);
    return null;
end
$$;
revoke execute on function keep_sensor_hours() from public;

create trigger batch_entries_keep_sensor_hours after insert on batch_entries
    referencing new table as new_rows for each statement execute function keep_sensor_hours();

insert into batch_sensor_hours (batch_id, hour, instrument, entry, at, recorded_at, data, readings, sg_low, sg_high, must_low_c,
        must_high_c)
    select t.batch_id, t.hour, t.instrument, l.entry, l.at, l.recorded_at, l.data, t.readings, t.sg_low, t.sg_high, t.must_low_c,
        t.must_high_c
    from (select batch_id, hour, instrument, (array_agg(entry order by at desc, entry desc))[1] as entry, count(*) as readings,
            min(sg) as sg_low, max(sg) as sg_high, min(must_c) as must_low_c, max(must_c) as must_high_c
        from batch_sensor_readings group by batch_id, hour, instrument) t
    join batch_entries l on l.batch_id = t.batch_id and l.entry = t.entry and l.version = 1;

select grant_to_app('batch_sensor_hours', 'select');
