-- The second step of a sign-in: codes from an app, passkeys, recovery codes; sign-ins that are half done; who took a
-- second step away.

-- When whoever holds the session last proved who they are: only just after that may they change what lets them in.
alter table sessions add column proved_at timestamptz;
update sessions set proved_at = created_at;
alter table sessions
    alter column proved_at set default now(),
    alter column proved_at set not null;

-- The key that a member's app and the server share.
create table code_apps (
    member_id bigint constraint code_apps_pkey primary key
        constraint code_apps_member_fkey references members (id) on delete cascade,
    secret bytea not null constraint code_apps_secret_length check (octet_length(secret) = 20),
    -- The latest step of 30 seconds whose code was used: neither it nor an earlier one is good again.
    last_step bigint not null,
    set_up_at timestamptz not null default now()
);
select grant_to_app('code_apps', 'select, insert, update, delete');

-- A key that was shown and has not been confirmed by a first code.
create table code_apps_begun (
    member_id bigint constraint code_apps_begun_pkey primary key
        constraint code_apps_begun_member_fkey references members (id) on delete cascade,
    secret bytea not null constraint code_apps_begun_secret_length check (octet_length(secret) = 20),
    expires_at timestamptz not null
);
select grant_to_app('code_apps_begun', 'select, insert, update, delete');

-- Ten codes on paper, each good once. The number is the code's first sign, so that one hash is computed for a try.
create table recovery_codes (
    member_id bigint constraint recovery_codes_member_fkey references members (id) on delete cascade,
    number smallint constraint recovery_codes_number_range check (number between 0 and 9),
    hash text not null,
    used_at timestamptz,
    constraint recovery_codes_pkey primary key (member_id, number)
);
select grant_to_app('recovery_codes', 'select, insert, update, delete');

create table passkeys (
    id bigint generated always as identity constraint passkeys_pkey primary key,
    public_id text collate "C" not null constraint passkeys_public_id_key unique
        constraint passkeys_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    member_id bigint not null constraint passkeys_member_fkey references members (id) on delete cascade,
    credential_id bytea not null constraint passkeys_credential_id_key unique
        constraint passkeys_credential_id_length check (octet_length(credential_id) between 1 and 1023),
    -- The public key with its counter, as the library of the standard keeps them.
    credential jsonb not null,
    -- The host of the address for which it was made: it works there and nowhere else.
    host text not null,
    name text not null constraint passkeys_name_length check (char_length(name) between 1 and 60),
    made_at timestamptz not null default now(),
    used_at timestamptz
);
create index passkeys_member_id on passkeys (member_id);
select grant_to_app('passkeys', 'select, insert, update, delete');

-- What the server asked of a device: good once, for a few minutes. Without a member while somebody signs in.
create table passkey_ceremonies (
    token_hash bytea constraint passkey_ceremonies_pkey primary key
        constraint passkey_ceremonies_hash_length check (octet_length(token_hash) = 32),
    member_id bigint constraint passkey_ceremonies_member_fkey references members (id) on delete cascade,
    state jsonb not null,
    expires_at timestamptz not null
);
create index passkey_ceremonies_member_id on passkey_ceremonies (member_id);
create index passkey_ceremonies_expires_at on passkey_ceremonies (expires_at);
select grant_to_app('passkey_ceremonies', 'select, insert, delete');

-- Name and password were right, the second step is still to come. This is no session: it opens one page.
create table half_sign_ins (
    token_hash bytea constraint half_sign_ins_pkey primary key
        constraint half_sign_ins_hash_length check (octet_length(token_hash) = 32),
    member_id bigint not null constraint half_sign_ins_member_fkey references members (id) on delete cascade,
    expires_at timestamptz not null
);
create index half_sign_ins_member_id on half_sign_ins (member_id);
select grant_to_app('half_sign_ins', 'select, insert, delete');

-- A second step that was taken away from a member: told to them until they set up another. Without a keeper it was the
-- server's command line.
create table second_steps_taken (
    member_id bigint constraint second_steps_taken_pkey primary key
        constraint second_steps_taken_member_fkey references members (id) on delete cascade,
    taken_by bigint constraint second_steps_taken_by_fkey references members (id) on delete set null,
    by_keeper boolean not null,
    taken_at timestamptz not null default now(),
    told_at timestamptz
);
create index second_steps_taken_by on second_steps_taken (taken_by);
select grant_to_app('second_steps_taken', 'select, insert, update, delete');

-- A link from the server's command line may take the second step away together with the old password.
alter table one_time_links add column takes_second_step boolean not null default false;
