-- What calendars were last told of each step of a batch's plan: a date may shift without anything being written into the log,
-- for time goes by and forecasts are made anew. When what is told changes, its number rises and its moment is kept (RFC 5545,
-- 3.8.7.4 and 3.8.7.3).

create table batch_calendar (
    batch_id bigint not null constraint batch_calendar_batch_fkey references batches (id) on delete cascade,
    step text not null constraint batch_calendar_step_length check (char_length(step) between 1 and 80),
    told bytea not null constraint batch_calendar_told_length check (octet_length(told) = 32),
    sequence integer not null default 0 constraint batch_calendar_sequence_range check (sequence >= 0),
    changed_at timestamptz not null,
    primary key (batch_id, step)
);

select grant_to_app('batch_calendar', 'select, insert, update');
