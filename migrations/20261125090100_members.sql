-- Members, their sessions, and the one-time links that set up or reset a keeper.

create table members (
    id bigint generated always as identity primary key,
    public_id text not null constraint members_public_id_key unique
        constraint members_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    name text not null constraint members_name_length check (char_length(name) between 1 and 60),
    -- The name folded for comparison: two members never look alike.
    name_key text not null constraint members_name_key unique,
    password_hash text,
    role text not null default 'member'
        constraint members_role_known check (role in ('member', 'organiser', 'keeper')),
    units text not null default 'metric'
        constraint members_units_known check (units in ('metric', 'us', 'imperial')),
    theme text not null default 'device'
        constraint members_theme_known check (theme in ('device', 'light', 'dark')),
    zone text not null default 'UTC',
    sachet_g numeric(6, 2) not null default 5
        constraint members_sachet_range check (sachet_g between 0.5 and 500),
    created_at timestamptz not null default now(),
    password_changed_at timestamptz,
    disabled_at timestamptz
);
select grant_to_app('members', 'select, insert, update');

-- What a browser holds is a random token; here is only its hash.
create table sessions (
    id bigint generated always as identity primary key,
    token_hash bytea not null constraint sessions_token_hash_key unique
        constraint sessions_hash_length check (octet_length(token_hash) = 32),
    member_id bigint not null references members on delete cascade,
    created_at timestamptz not null default now(),
    seen_at timestamptz not null default now(),
    ended_at timestamptz
);
create index sessions_member_id on sessions (member_id);
select grant_to_app('sessions', 'select, insert, update, delete');

-- One-time links: the first keeper's set-up, or a new password for a member.
create table one_time_links (
    id bigint generated always as identity primary key,
    token_hash bytea not null constraint one_time_links_token_hash_key unique
        constraint one_time_links_hash_length check (octet_length(token_hash) = 32),
    -- Whose password it renews; null for the set-up of the first keeper.
    member_id bigint references members on delete cascade,
    created_at timestamptz not null default now(),
    expires_at timestamptz not null,
    used_at timestamptz
);
select grant_to_app('one_time_links', 'select, insert, update, delete');

-- Wrong passwords, counted per name with address, per name and per address. The subject is a hash, so that neither
-- names nor addresses lie here.
create table sign_in_tries (
    subject bytea primary key constraint sign_in_tries_hash_length check (octet_length(subject) = 32),
    failures integer not null default 0,
    last_at timestamptz not null default now(),
    blocked_until timestamptz not null default now(),
    -- When this name last came in from this address: such a pair is not slowed by strangers' tries.
    succeeded_at timestamptz
);
create index sign_in_tries_last_at on sign_in_tries (last_at);
select grant_to_app('sign_in_tries', 'select, insert, update, delete');
