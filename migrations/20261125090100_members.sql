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
    theme text not null default 'system'
        constraint members_theme_known check (theme in ('system', 'light', 'dark')),
    zone text not null default 'UTC',
    sachet_g numeric(6, 2) not null default 5
        constraint members_sachet_range check (sachet_g between 0.5 and 500),
    created_at timestamptz not null default now(),
    password_changed_at timestamptz,
    disabled_at timestamptz
);
select grant_to_app('members', 'select, insert, update');
