-- The cellar: what was filled into bottles and is still there. A lot is the bottles of one size that one entry of a log filled; how
-- many that were follows from the log, what was taken since stands here.

create table cellar_lots (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint cellar_lots_public_id_key unique
        constraint cellar_lots_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    -- What stands on its labels: nobody guesses it, and it opens no more than the label says.
    code text collate "C" not null constraint cellar_lots_code_key unique
        constraint cellar_lots_code_shape check (code ~ '^[a-z2-7]{12}$'),
    batch_id bigint not null constraint cellar_lots_batch_fkey references batches (id) on delete cascade,
    entry integer not null,
    size_ml integer not null constraint cellar_lots_size_range check (size_ml between 1 and 1000000),
    filled integer not null constraint cellar_lots_filled_range check (filled between 0 and 1000000),
    gas boolean not null,
    filled_at timestamptz not null,
    -- From when such a mead is usually good, at its best, and until when it usually keeps.
    good_on date,
    best_on date,
    keeps_until date,
    place text not null default '' constraint cellar_lots_place_length check (char_length(place) <= 80),
    -- Bottles that are kept to be tasted beside another, and until when.
    kept_back integer not null default 0 constraint cellar_lots_kept_range check (kept_back between 0 and 100),
    kept_until date,
    constraint cellar_lots_of_entry unique (batch_id, entry, size_ml)
);

create table cellar_taken (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint cellar_taken_public_id_key unique
        constraint cellar_taken_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    lot_id bigint not null constraint cellar_taken_lot_fkey references cellar_lots (id) on delete cascade,
    bottles integer not null constraint cellar_taken_bottles_range check (bottles between 1 and 1000000),
    why text not null constraint cellar_taken_why_known check (why in ('drunk', 'given', 'entered', 'broken')),
    whom text not null default '' constraint cellar_taken_whom_length check (char_length(whom) <= 120),
    by_id bigint not null constraint cellar_taken_by_fkey references members (id),
    at timestamptz not null,
    recorded_at timestamptz not null,
    -- It was a slip.
    put_back_at timestamptz
);
create index cellar_taken_of_lot on cellar_taken (lot_id);

select grant_to_app('cellar_lots', 'select, insert, update');
select grant_to_app('cellar_taken', 'select, insert, update');
