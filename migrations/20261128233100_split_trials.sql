-- Split trials: one must in several vessels with one difference each, tasted blind on one day, at one age.

create table split_trials (
    -- The batch that was parted.
    batch_id bigint primary key constraint split_trials_batch_fkey references batches (id) on delete cascade,
    question text not null constraint split_trials_question_length check (char_length(question) between 1 and 300),
    taste_on date not null,
    made_at timestamptz not null,
    changed_at timestamptz not null,
    version integer not null default 1 constraint split_trials_version_range check (version >= 1),
    -- The tasting that was opened of it.
    tasting text collate "C" constraint split_trials_tasting_shape check (tasting ~ '^[a-z2-7]{20}$')
);
create index split_trials_ahead on split_trials (taste_on) where tasting is null;

-- What stands on the vessels, so that no label tells what is inside.
create table split_trial_codes (
    batch_id bigint not null constraint split_trial_codes_trial_fkey references split_trials (batch_id) on delete cascade,
    part_id bigint not null constraint split_trial_codes_part_fkey references batches (id) on delete cascade,
    code integer not null constraint split_trial_codes_range check (code between 100 and 999),
    primary key (batch_id, part_id),
    constraint split_trial_codes_differ unique (batch_id, code)
);
create index split_trial_codes_of_part on split_trial_codes (part_id);

select grant_to_app('split_trials', 'select, insert, update, delete');
select grant_to_app('split_trial_codes', 'select, insert, delete');
