-- Meetings of the club: when and where, who comes, what is poured.

create table meetings (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint meetings_public_id_key unique
        constraint meetings_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    opener_id bigint not null constraint meetings_opener_fkey references members (id),
    title text not null constraint meetings_title_length check (char_length(title) between 1 and 120),
    starts_at timestamptz not null,
    place text not null default '' constraint meetings_place_length check (char_length(place) <= 200),
    -- What is on, and afterwards what was said.
    about text not null default '' constraint meetings_about_length check (char_length(about) <= 4000),
    notes text not null default '' constraint meetings_notes_length check (char_length(notes) <= 20000),
    cancelled_at timestamptz,
    -- What an edit must have seen.
    version integer not null default 1 constraint meetings_version_range check (version >= 1),
    created_at timestamptz not null
);
create index meetings_by_time on meetings (starts_at);

create table meeting_answers (
    meeting_id bigint not null constraint meeting_answers_meeting_fkey references meetings (id),
    member_id bigint not null constraint meeting_answers_member_fkey references members (id),
    answer text not null constraint meeting_answers_known check (answer in ('yes', 'perhaps', 'no')),
    at timestamptz not null,
    constraint meeting_answers_pkey primary key (meeting_id, member_id)
);

create table meeting_pours (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint meeting_pours_public_id_key unique
        constraint meeting_pours_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    meeting_id bigint not null constraint meeting_pours_meeting_fkey references meetings (id),
    member_id bigint not null constraint meeting_pours_member_fkey references members (id),
    -- What is poured, in its maker's words or as the recipe is called.
    words text not null constraint meeting_pours_words_length check (char_length(words) between 1 and 200),
    recipe_id bigint constraint meeting_pours_recipe_fkey references recipes (id) on delete set null,
    revision_number integer,
    -- As the recipe's numbers were when it was put down.
    abv_percent double precision,
    fg double precision,
    -- Codes that the engine found, and what its maker adds.
    allergens text[] not null,
    beware text not null default '' constraint meeting_pours_beware_length check (char_length(beware) <= 200),
    -- Its place once the organiser has moved something; null while the order is the suggested one.
    place integer,
    at timestamptz not null
);
create index meeting_pours_of_meeting on meeting_pours (meeting_id);
create index meeting_pours_of_recipe on meeting_pours (recipe_id) where recipe_id is not null;

select grant_to_app('meetings', 'select, insert, update');
select grant_to_app('meeting_answers', 'select, insert, update, delete');
select grant_to_app('meeting_pours', 'select, insert, update, delete');
