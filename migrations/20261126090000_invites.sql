-- Invites: by whose links new members come in.

create table invites (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint invites_public_id_key unique
        constraint invites_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    -- What whoever comes in by it becomes.
    role text not null constraint invites_role_known check (role in ('member', 'organiser', 'keeper')),
    -- For whom it was made, in the keeper's own words.
    note text not null default '' constraint invites_note_length check (char_length(note) <= 80),
    uses_allowed integer not null constraint invites_uses_allowed_range check (uses_allowed between 1 and 100),
    uses integer not null default 0 constraint invites_uses_range check (uses between 0 and uses_allowed),
    made_by bigint constraint invites_made_by_fkey references members on delete set null,
    created_at timestamptz not null default now(),
    expires_at timestamptz not null,
    revoked_at timestamptz,
    constraint invites_one_for_more_than_membership check (role = 'member' or uses_allowed = 1)
);
create index invites_made_by on invites (made_by);
select grant_to_app('invites', 'select, insert, update, delete');

-- An invite may have several links, since each is shown only once: here are their hashes.
create table invite_links (
    token_hash bytea primary key constraint invite_links_hash_length check (octet_length(token_hash) = 32),
    invite_id bigint not null constraint invite_links_invite_fkey references invites on delete cascade,
    created_at timestamptz not null default now()
);
create index invite_links_invite_id on invite_links (invite_id);
select grant_to_app('invite_links', 'select, insert, delete');

-- By which invite a member came.
alter table members
    add column invite_id bigint constraint members_invite_fkey references invites on delete set null;
create index members_invite_id on members (invite_id) where invite_id is not null;

-- Whether somebody can still come in by it. It gives no more than its maker may give at this moment.
create function invite_is_good(invite invites) returns boolean
language sql stable parallel safe as $$
    select invite.revoked_at is null and invite.expires_at > now() and invite.uses < invite.uses_allowed
        and exists (select from members maker
            where maker.id = invite.made_by and maker.role = 'keeper' and maker.disabled_at is null)
$$;
