-- The honey shelf: jars of members and of the club, and everything that was taken from them.

create table honey_jars (
    id bigint generated always as identity primary key,
    -- Recipes hold "jar-" and this: never changed, never given to another.
    public_id text collate "C" not null constraint honey_jars_public_id_key unique
        constraint honey_jars_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    -- Who put it there, and looks after it.
    owner_id bigint not null constraint honey_jars_owner_fkey references members (id),
    -- Whether it is the club's own.
    of_club boolean not null,
    -- Whether members may take from it. From the club's they always may.
    shared boolean not null,
    name text not null constraint honey_jars_name_length check (char_length(name) between 1 and 120),
    -- Its kind of honey in the catalogue, if any.
    varietal text constraint honey_jars_varietal_length check (char_length(varietal) between 1 and 100),
    bee_keeper text not null default '' constraint honey_jars_bee_keeper_length check (char_length(bee_keeper) <= 120),
    harvest_year integer constraint honey_jars_harvest_year_range check (harvest_year between 1950 and 2200),
    place text not null default '' constraint honey_jars_place_length check (char_length(place) <= 120),
    -- Water by the refractometer, as a fraction of the mass.
    water double precision constraint honey_jars_water_range check (water between 0.1 and 0.3),
    colour text constraint honey_jars_colour_length check (char_length(colour) between 1 and 40),
    smell text not null default '' constraint honey_jars_smell_length check (char_length(smell) <= 500),
    taste text not null default '' constraint honey_jars_taste_length check (char_length(taste) <= 500),
    note text not null default '' constraint honey_jars_note_length check (char_length(note) <= 1000),
    left_kg double precision not null constraint honey_jars_left_range check (left_kg between 0 and 10000),
    -- Of a kilogram, in the smallest coin of the club's currency; null when it is given.
    price_per_kg bigint constraint honey_jars_price_range check (price_per_kg between 0 and 100000000),
    -- Off the shelf: offered no more, and still found by the recipes that hold it.
    put_away boolean not null default false,
    -- What an edit must have seen.
    version integer not null default 1 constraint honey_jars_version_range check (version >= 1),
    created_at timestamptz not null
);
create index honey_jars_of_owner on honey_jars (owner_id);

create table honey_jar_entries (
    id bigint generated always as identity primary key,
    jar_id bigint not null constraint honey_jar_entries_jar_fkey references honey_jars (id),
    member_id bigint not null constraint honey_jar_entries_member_fkey references members (id),
    deed text not null constraint honey_jar_entries_deed_known
        check (deed in ('put', 'changed', 'taken', 'weighed', 'put away', 'put back')),
    -- What was taken or put, and what was left then.
    kg double precision not null,
    left_kg double precision not null,
    -- What the taker owes for it, in the smallest coin; null when it was given.
    owed bigint constraint honey_jar_entries_owed_range check (owed >= 0),
    note text not null default '' constraint honey_jar_entries_note_length check (char_length(note) <= 200),
    at timestamptz not null
);
create index honey_jar_entries_of_jar on honey_jar_entries (jar_id, id desc);
create trigger honey_jar_entries_are_final before update or delete on honey_jar_entries
    for each row execute function refuse_change();
create trigger honey_jar_entries_are_not_emptied before truncate on honey_jar_entries
    for each statement execute function refuse_change();

select grant_to_app('honey_jars', 'select, insert, update');
select grant_to_app('honey_jar_entries', 'select, insert');
