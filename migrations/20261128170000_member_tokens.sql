-- Tokens by which a member's programs and feed readers come in. What they hold is random; here is only its hash.

create table member_tokens (
    id bigint generated always as identity primary key,
    public_id text not null constraint member_tokens_public_id_key unique
        constraint member_tokens_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    token_hash bytea not null constraint member_tokens_hash_key unique
        constraint member_tokens_hash_length check (octet_length(token_hash) = 32),
    member_id bigint not null constraint member_tokens_member_fkey references members (id) on delete cascade,
    name text not null constraint member_tokens_name_length check (char_length(name) between 1 and 60),
    -- A feed's token stands in an address, where others may read it, so it opens nothing else.
    opens text not null constraint member_tokens_opens_known check (opens in ('read', 'write', 'feed')),
    created_at timestamptz not null default now(),
    expires_at timestamptz not null constraint member_tokens_expiry_order check (expires_at > created_at),
    last_used_at timestamptz,
    ended_at timestamptz,
    -- How often it was used in the minute that began then.
    minute_began_at timestamptz not null default now(),
    minute_uses integer not null default 0
);
create index member_tokens_of_member on member_tokens (member_id);
select grant_to_app('member_tokens', 'select, insert, update, delete');
