-- Keys of forms that were sent: the same form sent twice does its work once. Kept for a week.

create table once_keys (
    member_id bigint not null references members on delete cascade,
    route text not null,
    key text not null constraint once_keys_key_length check (char_length(key) between 10 and 100),
    body_hash bytea not null constraint once_keys_hash_length check (octet_length(body_hash) = 32),
    -- Where the result is; empty until the work is done, within the same transaction.
    location text not null default '',
    created_at timestamptz not null default now(),
    constraint once_keys_pkey primary key (member_id, route, key)
);
create index once_keys_created_at on once_keys (created_at);
select grant_to_app('once_keys', 'select, insert, update, delete');
