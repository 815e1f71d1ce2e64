-- What the club and its members lend, and who had it when.

create table club_equipment (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint club_equipment_public_id_key unique
        constraint club_equipment_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    name text not null constraint club_equipment_name_length check (char_length(name) between 1 and 80),
    -- Whose it is; null for the club's own.
    owner_id bigint constraint club_equipment_owner_fkey references members (id),
    place text not null default '' constraint club_equipment_place_length check (char_length(place) <= 200),
    condition text not null default '' constraint club_equipment_condition_length check (char_length(condition) <= 1000),
    version integer not null default 1 constraint club_equipment_version_range check (version >= 1),
    -- Lent no more.
    withdrawn_at timestamptz,
    created_at timestamptz not null
);
create index club_equipment_of_owner on club_equipment (owner_id);

create table loans (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint loans_public_id_key unique
        constraint loans_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    equipment_id bigint not null constraint loans_equipment_fkey references club_equipment (id),
    member_id bigint not null constraint loans_member_fkey references members (id),
    asked_at timestamptz not null,
    -- Until when it is wanted, and, once lent, until when it is lent.
    until_day date not null,
    remark text not null default '' constraint loans_remark_length check (char_length(remark) <= 500),
    lent_at timestamptz,
    ended_at timestamptz,
    -- How it ended, and who said so.
    ending text constraint loans_ending_known check (ending in ('given back', 'refused', 'taken back')),
    ended_by bigint constraint loans_ended_by_fkey references members (id),
    -- In what condition it came back.
    came_back text not null default '' constraint loans_came_back_length check (char_length(came_back) <= 500),
    constraint loans_ending_whole check ((ended_at is null) = (ending is null) and (ended_at is null) = (ended_by is null)),
    constraint loans_given_back_was_lent check (ending is distinct from 'given back' or lent_at is not null)
);
-- One at a time has it or waits for it: of two who ask at once, one comes in.
create unique index loans_one_at_a_time on loans (equipment_id) where ended_at is null;
create index loans_of_equipment on loans (equipment_id, id desc);
create index loans_of_member on loans (member_id);

select grant_to_app('club_equipment', 'select, insert, update');
select grant_to_app('loans', 'select, insert, update');
