-- What the server does about backups by itself, so that the keeper's page can tell it.

alter table backups add column by_itself boolean not null default false;

-- Trials: the newest backup is brought back into a throw-away database and compared with what it says of itself.
create table backup_trials (
    id bigint generated always as identity constraint backup_trials_pkey primary key,
    tried_at timestamptz not null,
    -- When the backup was made; null where there was no way to try one.
    made_at timestamptz,
    outcome text not null constraint backup_trials_outcome_known check (outcome in ('whole', 'not whole', 'not possible')),
    said text not null constraint backup_trials_said_length check (char_length(said) between 1 and 2000)
);
create index backup_trials_tried_at on backup_trials (tried_at);
select grant_to_app('backup_trials', 'select');
