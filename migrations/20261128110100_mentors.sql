-- Who may be asked: a member offers it, and each newcomer gets the name of one.

alter table members
    add column newcomers_may_ask boolean not null default false,
    add column mentor_id bigint constraint members_mentor_fkey references members (id) on delete set null
        constraint members_mentor_is_another check (mentor_id <> id);
create index members_mentor_id on members (mentor_id) where mentor_id is not null;
