-- A member's own stock with what was paid for it, and everything that was done with it.

create table cupboard_items (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint cupboard_items_public_id_key unique
        constraint cupboard_items_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint cupboard_items_owner_fkey references members (id) on delete cascade,
    -- The entry of the catalogue that it is, if any.
    key text constraint cupboard_items_key_length check (char_length(key) between 1 and 100),
    name text not null constraint cupboard_items_name_length check (char_length(name) between 1 and 120),
    measure text not null constraint cupboard_items_measure_known check (measure in ('kg', 'l', 'pieces')),
    remaining double precision not null
        constraint cupboard_items_remaining_range check (remaining between 0 and 200000),
    -- What was paid, in the smallest coin of the club's currency, and for how much of it.
    paid bigint constraint cupboard_items_paid_range check (paid between 0 and 1000000000),
    paid_for double precision constraint cupboard_items_paid_for_range check (paid_for > 0 and paid_for <= 200000),
    constraint cupboard_items_price_whole check ((paid is null) = (paid_for is null)),
    bought_on date,
    opened_on date,
    best_before date,
    note text not null default '' constraint cupboard_items_note_length check (char_length(note) <= 1000),
    -- What an edit must have seen.
    version integer not null default 1 constraint cupboard_items_version_range check (version >= 1),
    created_at timestamptz not null
);
create index cupboard_items_of_owner on cupboard_items (owner_id, created_at desc);

create table cupboard_changes (
    id bigint generated always as identity primary key,
    item_id bigint not null constraint cupboard_changes_item_fkey references cupboard_items (id) on delete cascade,
    deed text not null constraint cupboard_changes_deed_known
        check (deed in ('put in', 'used', 'corrected', 'thrown away')),
    -- How much went, or came, and what was left then; in the measure of the item.
    amount double precision not null,
    remaining double precision not null,
    note text not null default '' constraint cupboard_changes_note_length check (char_length(note) <= 200),
    at timestamptz not null
);
create index cupboard_changes_of_item on cupboard_changes (item_id, id desc);
-- They go only with their item, when a member leaves.
create trigger cupboard_changes_are_final before update on cupboard_changes
    for each row execute function refuse_change();

-- A cupboard is private: it goes when its owner is gone for good.
create function forget_cupboard() returns trigger language plpgsql as $$
begin
    delete from cupboard_items where owner_id = new.id;
    return null;
end
$$;
create trigger members_take_their_cupboard_along after update of gone_at on members
    for each row when (old.gone_at is null and new.gone_at is not null) execute function forget_cupboard();

select grant_to_app('cupboard_items', 'select, insert, update');
select grant_to_app('cupboard_changes', 'select, insert');
