-- What members ferment and age in, and what they measure with.

create table vessels (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint vessels_public_id_key unique
        constraint vessels_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint vessels_owner_fkey references members (id),
    name text not null constraint vessels_name_length check (char_length(name) between 1 and 80),
    kind text not null constraint vessels_kind_known
        check (kind in ('bucket', 'demijohn', 'carboy', 'keg', 'barrel', 'tank')),
    made_of text not null constraint vessels_made_of_known
        check (made_of in ('glass', 'food_plastic', 'other_plastic', 'steel', 'wood', 'stoneware', 'unknown')),
    -- Litres at 20 °C, filled to the brim.
    brim_l double precision not null constraint vessels_brim_range check (brim_l between 0.05 and 100000),
    wide_mouth boolean not null,
    headspace_fraction double precision constraint vessels_headspace_range check (headspace_fraction between 0 and 0.9),
    -- What stays behind in one of them at each racking.
    loss_l double precision constraint vessels_loss_range check (loss_l >= 0 and loss_l < brim_l),
    how_many integer not null default 1 constraint vessels_how_many_range check (how_many between 1 and 99),
    notes text not null default '' constraint vessels_notes_length check (char_length(notes) <= 1000),
    -- The fields as they were typed, to be shown so again.
    typed jsonb not null default '{}'
        constraint vessels_typed_object check (jsonb_typeof(typed) = 'object')
        constraint vessels_typed_size check (octet_length(typed::text) <= 10000),
    version integer not null default 1 constraint vessels_version_range check (version >= 1),
    -- Out of use: offered no more, and still found by what was made in it.
    retired_at timestamptz,
    created_at timestamptz not null
);
create index vessels_of_owner on vessels (owner_id);
create unique index vessels_name_key on vessels (owner_id, lower(name)) where retired_at is null;

create table instruments (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint instruments_public_id_key unique
        constraint instruments_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint instruments_owner_fkey references members (id),
    name text not null constraint instruments_name_length check (char_length(name) between 1 and 80),
    kind text not null constraint instruments_kind_known check (kind in ('hydrometer', 'ph_meter', 'scale', 'thermometer')),
    -- A hydrometer: what it reads in plain water at the temperature it is marked for, and that temperature.
    in_water_sg double precision constraint instruments_in_water_range check (in_water_sg between 0.95 and 1.05),
    marked_for_c double precision constraint instruments_marked_for_range check (marked_for_c between 0 and 40),
    -- One step of its scale: SG, pH, g or °C.
    step double precision constraint instruments_step_range check (step > 0 and step <= 1000),
    -- The most that a scale weighs, g.
    most_g double precision constraint instruments_most_range check (most_g > 0 and most_g <= 1000000),
    -- What a thermometer reads in melting ice, °C.
    in_ice_c double precision constraint instruments_in_ice_range check (in_ice_c between -10 and 10),
    calibrated_on date,
    notes text not null default '' constraint instruments_notes_length check (char_length(notes) <= 1000),
    typed jsonb not null default '{}'
        constraint instruments_typed_object check (jsonb_typeof(typed) = 'object')
        constraint instruments_typed_size check (octet_length(typed::text) <= 10000),
    version integer not null default 1 constraint instruments_version_range check (version >= 1),
    retired_at timestamptz,
    created_at timestamptz not null,
    constraint instruments_hydrometer_whole
        check (kind <> 'hydrometer' or (in_water_sg is not null and marked_for_c is not null and step is not null)),
    constraint instruments_scale_whole check (kind <> 'scale' or (step is not null and most_g is not null)),
    constraint instruments_thermometer_whole check (kind <> 'thermometer' or in_ice_c is not null)
);
create index instruments_of_owner on instruments (owner_id);

-- What a member's scale shows, where no instrument says: for powders, and for honey and whatever else is heavy.
alter table members
    add column powder_step_g numeric(7, 2) not null default 1
        constraint members_powder_step_range check (powder_step_g between 0.01 and 100),
    add column honey_step_g numeric(7, 2) not null default 5
        constraint members_honey_step_range check (honey_step_g between 0.01 and 1000);

select grant_to_app('vessels', 'select, insert, update');
select grant_to_app('instruments', 'select, insert, update');
