-- Work that the servers do by themselves: what comes again and again, and what is asked for once. Of several servers one
-- has a job at a time, for as long as it says so by the database's clock.

create table jobs (
    id bigint generated always as identity constraint jobs_pkey primary key,
    kind text not null constraint jobs_kind_shape check (kind ~ '^[a-z_]{1,40}$'),
    -- Of one kind each key is there once: what is asked for twice is done once. Empty for what comes again and again.
    key text not null constraint jobs_key_length check (char_length(key) <= 200),
    about jsonb not null default '{}',
    asked_at timestamptz not null default now(),
    due_at timestamptz not null default now(),
    -- Counts who had it: whoever had it under an earlier number cannot write its end any more.
    turn bigint not null default 0,
    held_until timestamptz,
    -- Since it was done last.
    tries integer not null default 0,
    -- Set before what nobody can take back, such as a mail: it is not begun a second time.
    begun_at timestamptz,
    done_at timestamptz,
    failed_at timestamptz,
    failure text constraint jobs_failure_length check (char_length(failure) <= 500),
    -- When it was done or given up; never for what comes again and again.
    ended_at timestamptz,
    constraint jobs_kind_key_key unique (kind, key)
);
create index jobs_due on jobs (due_at) where ended_at is null;
select grant_to_app('jobs', 'select, insert, update, delete');
