-- Tastings: meads poured for several people at once. What somebody says of one is read by nobody else until the tasting is closed.

create table tastings (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint tastings_public_id_key unique
        constraint tastings_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    host_id bigint not null constraint tastings_host_fkey references members (id),
    title text not null constraint tastings_title_length check (char_length(title) between 1 and 120),
    kind text not null constraint tastings_kind_known check (kind in ('shared', 'triangle', 'ranking')),
    -- Whether the glasses bear codes, and the meads no names, until the end.
    coded boolean not null,
    on_paper boolean not null default false,
    visibility text not null default 'club'
        constraint tastings_visibility_known check (visibility in ('private', 'club')),
    -- By what meads are ranked, or what to look for.
    question text not null default '' constraint tastings_question_length check (char_length(question) <= 300),
    created_at timestamptz not null,
    closed_at timestamptz,
    constraint tastings_of_tests_are_coded check (kind = 'shared' or coded),
    constraint tastings_on_paper_are_tests check (kind <> 'shared' or not on_paper)
);
create index tastings_newest on tastings (created_at desc, id desc);
create index tastings_of_host on tastings (host_id);

-- What is poured. Its name is that of the day; the batch may be gone by now.
create table tasting_pours (
    tasting_id bigint not null constraint tasting_pours_tasting_fkey references tastings (id) on delete cascade,
    place integer not null constraint tasting_pours_place_range check (place between 1 and 6),
    batch_id bigint constraint tasting_pours_batch_fkey references batches (id) on delete set null,
    name text not null constraint tasting_pours_name_length check (char_length(name) between 1 and 120),
    -- What everybody's glass of it bears; where each glass has a code of its own, none.
    code integer constraint tasting_pours_code_range check (code between 100 and 999),
    allergens text[] not null default '{}',
    primary key (tasting_id, place)
);
create index tasting_pours_of_batch on tasting_pours (batch_id) where batch_id is not null;

-- The glasses of one taster, in the order in which they are tasted: the code of each, and the place of the mead in it.
create table tasting_servings (
    tasting_id bigint not null constraint tasting_servings_tasting_fkey references tastings (id) on delete cascade,
    number integer not null constraint tasting_servings_number_range check (number between 1 and 100),
    codes integer[] not null,
    meads integer[] not null,
    primary key (tasting_id, number),
    constraint tasting_servings_match check (cardinality(codes) = cardinality(meads) and cardinality(codes) between 3 and 6)
);

-- Whoever tastes: a member, a guest with a link of their own, or a sheet of paper.
create table tasting_seats (
    id bigint generated always as identity primary key,
    tasting_id bigint not null constraint tasting_seats_tasting_fkey references tastings (id) on delete cascade,
    member_id bigint constraint tasting_seats_member_fkey references members (id),
    guest text constraint tasting_seats_guest_length check (char_length(guest) between 1 and 60),
    -- What opens a guest's own pages. The token is random; here is only its hash.
    token_hash bytea constraint tasting_seats_hash_key unique
        constraint tasting_seats_hash_length check (octet_length(token_hash) = 32),
    serving integer,
    -- The glass that was picked, or the place of each glass.
    pick jsonb constraint tasting_seats_pick_object check (jsonb_typeof(pick) = 'object')
        constraint tasting_seats_pick_size check (octet_length(pick::text) <= 1000),
    taken_at timestamptz not null,
    constraint tasting_seats_member_key unique (tasting_id, member_id),
    constraint tasting_seats_serving_key unique (tasting_id, serving),
    constraint tasting_seats_serving_fkey foreign key (tasting_id, serving)
        references tasting_servings (tasting_id, number) on delete cascade,
    constraint tasting_seats_whose check (num_nonnulls(member_id, guest) <= 1 and (member_id is null or token_hash is null))
);
create index tasting_seats_of_member on tasting_seats (member_id) where member_id is not null;

-- What was said of a mead: a tasting as a batch's log holds it.
create table tasting_answers (
    seat_id bigint not null constraint tasting_answers_seat_fkey references tasting_seats (id) on delete cascade,
    place integer not null constraint tasting_answers_place_range check (place between 1 and 6),
    data jsonb not null
        constraint tasting_answers_data_object check (jsonb_typeof(data) = 'object')
        constraint tasting_answers_data_size check (octet_length(data::text) <= 20000),
    at timestamptz not null,
    primary key (seat_id, place)
);

-- Links for guests: each seats one.
create table tasting_links (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint tasting_links_public_id_key unique
        constraint tasting_links_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    tasting_id bigint not null constraint tasting_links_tasting_fkey references tastings (id) on delete cascade,
    token_hash bytea not null constraint tasting_links_hash_key unique
        constraint tasting_links_hash_length check (octet_length(token_hash) = 32),
    note text not null default '' constraint tasting_links_note_length check (char_length(note) <= 60),
    expires_at timestamptz not null,
    used_at timestamptz,
    ended_at timestamptz
);
create index tasting_links_of_tasting on tasting_links (tasting_id);

-- Who sees that there is a tasting, and what is poured: the one place in the database that says so.
create function tasting_visible(tasting tastings, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select viewer_id is not null
        and (tasting.host_id = viewer_id or tasting.visibility = 'club'
            or exists (select from tasting_seats s where s.tasting_id = tasting.id and s.member_id = viewer_id))
$$;

-- Who reads what was said: nobody before the end, then the host and whoever said something.
create function tasting_readable(tasting tastings, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select viewer_id is not null and tasting.closed_at is not null
        and (tasting.host_id = viewer_id
            or exists (select from tasting_seats s where s.tasting_id = tasting.id and s.member_id = viewer_id
                and (s.pick is not null or exists (select from tasting_answers a where a.seat_id = s.id))))
$$;

select grant_to_app('tastings', 'select, insert, update, delete');
select grant_to_app('tasting_pours', 'select, insert');
select grant_to_app('tasting_servings', 'select, insert');
select grant_to_app('tasting_seats', 'select, insert, update, delete');
select grant_to_app('tasting_answers', 'select, insert, update');
select grant_to_app('tasting_links', 'select, insert, update, delete');
