-- Batches: what was made of a recipe. What a batch began with is frozen in it; everything after is its log, to which is only added.

create table batches (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint batches_public_id_key unique
        constraint batches_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint batches_owner_fkey references members (id),
    name text not null constraint batches_name_length check (char_length(name) between 1 and 120),
    visibility text not null default 'club' constraint batches_visibility_known check (visibility in ('private', 'club')),
    -- What it was made of; null when that is gone for good, and of a mead that was going before anything was written down.
    revision_id bigint constraint batches_revision_fkey references revisions (id),
    -- The part of another batch that went its own way, and when.
    parted_from_id bigint constraint batches_parted_from_fkey references batches (id),
    -- Whether nobody wrote down what went in: the document then says what was supposed.
    supposed boolean not null default false,
    -- The recipe as it was weighed out, and what the engine made of it then.
    document jsonb not null
        constraint batches_document_object check (jsonb_typeof(document) = 'object')
        constraint batches_document_size check (octet_length(document::text) <= 1000000),
    formulation jsonb not null constraint batches_formulation_object check (jsonb_typeof(formulation) = 'object'),
    engine_version integer not null,
    -- Where it ferments, as it was then; the vessel itself may be out of use by now.
    vessel_id bigint constraint batches_vessel_fkey references vessels (id) on delete set null,
    vessel_name text not null default '' constraint batches_vessel_name_length check (char_length(vessel_name) <= 80),
    -- The mixing: hours of the log count from here.
    began_at timestamptz not null,
    ended_at timestamptz,
    how_it_ended text constraint batches_ending_known check (how_it_ended in ('bottled', 'poured away', 'parted')),
    -- What an edit of its name and readers must have seen.
    version integer not null default 1 constraint batches_version_range check (version >= 1),
    created_at timestamptz not null,
    binned_at timestamptz,
    constraint batches_ended_somehow check ((ended_at is null) = (how_it_ended is null))
);
create index batches_of_owner on batches (owner_id, began_at desc, public_id desc);
create index batches_newest on batches (began_at desc, public_id desc) where binned_at is null;
create index batches_of_revision on batches (revision_id) where revision_id is not null;
create index batches_parted_from on batches (parted_from_id) where parted_from_id is not null;

-- Who sees a batch: the one place in the database that says so.
create function batch_visible(batch batches, viewer_id bigint) returns boolean
language sql immutable parallel safe as $$
    select viewer_id is not null
        and (batch.owner_id = viewer_id or (batch.visibility = 'club' and batch.binned_at is null))
$$;

-- The log. What was written stays: a correction is a further version of its entry, the newest counts.
create table batch_entries (
    id bigint generated always as identity primary key,
    batch_id bigint not null constraint batch_entries_batch_fkey references batches (id),
    entry integer not null constraint batch_entries_entry_range check (entry >= 1),
    version integer not null constraint batch_entries_version_range check (version >= 1),
    kind text not null constraint batch_entries_kind_length check (char_length(kind) between 1 and 20),
    at timestamptz not null,
    recorded_at timestamptz not null,
    by_id bigint not null constraint batch_entries_by_fkey references members (id),
    data jsonb not null
        constraint batch_entries_data_object check (jsonb_typeof(data) = 'object')
        constraint batch_entries_data_size check (octet_length(data::text) <= 20000),
    -- What was typed, to be shown so again.
    typed jsonb not null default '{}'
        constraint batch_entries_typed_object check (jsonb_typeof(typed) = 'object')
        constraint batch_entries_typed_size check (octet_length(typed::text) <= 20000),
    -- Taken out of the log: it is shown as such and counts no more.
    struck boolean not null default false,
    came_from text not null default 'page'
        constraint batch_entries_came_from_known check (came_from in ('page', 'phone', 'file', 'sensor', 'import')),
    -- What a phone, a file or a sensor calls it: the same again is the same entry.
    source_key text constraint batch_entries_source_key_length check (char_length(source_key) between 1 and 200),
    constraint batch_entries_version_key unique (batch_id, entry, version)
);
create unique index batch_entries_source on batch_entries (batch_id, source_key)
    where source_key is not null and version = 1;
create trigger batch_entries_are_final before update or delete on batch_entries
    for each row execute function refuse_change();
create trigger batch_entries_are_not_emptied before truncate on batch_entries
    for each statement execute function refuse_change();

-- What lists and forecasts of other batches read: reckoned from the log, again whenever that or the engine changes.
create table batch_numbers (
    batch_id bigint primary key constraint batch_numbers_batch_fkey references batches (id) on delete cascade,
    og double precision,
    sg double precision,
    abv_percent double precision,
    volume_l double precision,
    last_reading_at timestamptz,
    pitched_at timestamptz,
    -- Where it is in its course, as the engine's outlook says.
    course text not null,
    -- For the club's own figures, from finished batches.
    yeast text,
    book_fg double precision,
    real_fg double precision,
    end_days double precision,
    loss_fraction double precision,
    growth_factor double precision,
    uptake_factor double precision,
    entries integer not null default 0,
    engine_version integer not null
);

-- Pictures, made anew by the server: small, and without what a camera writes into them.
create table batch_pictures (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint batch_pictures_public_id_key unique
        constraint batch_pictures_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    batch_id bigint not null constraint batch_pictures_batch_fkey references batches (id),
    entry integer not null,
    by_id bigint not null constraint batch_pictures_by_fkey references members (id),
    image bytea not null constraint batch_pictures_size check (octet_length(image) between 1 and 400000),
    width integer not null constraint batch_pictures_width_range check (width between 1 and 4000),
    height integer not null constraint batch_pictures_height_range check (height between 1 and 4000),
    says text not null default '' constraint batch_pictures_says_length check (char_length(says) <= 300),
    at timestamptz not null
);
create index batch_pictures_of_batch on batch_pictures (batch_id, entry);

-- What sensors post with. The token is random; here is only its hash.
create table batch_sensors (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint batch_sensors_public_id_key unique
        constraint batch_sensors_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    batch_id bigint not null constraint batch_sensors_batch_fkey references batches (id),
    by_id bigint not null constraint batch_sensors_by_fkey references members (id),
    name text not null constraint batch_sensors_name_length check (char_length(name) between 1 and 60),
    token_hash bytea not null constraint batch_sensors_hash_key unique
        constraint batch_sensors_hash_length check (octet_length(token_hash) = 32),
    -- What the sensor calls gravity, temperature and the rest.
    fields jsonb not null default '{}' constraint batch_sensors_fields_object check (jsonb_typeof(fields) = 'object'),
    created_at timestamptz not null,
    last_used_at timestamptz,
    ended_at timestamptz,
    minute_began_at timestamptz not null,
    minute_uses integer not null default 0
);
create index batch_sensors_of_batch on batch_sensors (batch_id);

-- A refining series: batches in order, each with its question, its one change, and what was decided after tasting.
create table refining_series (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint refining_series_public_id_key unique
        constraint refining_series_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    owner_id bigint not null constraint refining_series_owner_fkey references members (id),
    name text not null constraint refining_series_name_length check (char_length(name) between 1 and 120),
    aim text not null default '' constraint refining_series_aim_length check (char_length(aim) <= 1000),
    version integer not null default 1 constraint refining_series_version_range check (version >= 1),
    created_at timestamptz not null
);
create index refining_series_of_owner on refining_series (owner_id);

create table refining_steps (
    series_id bigint not null constraint refining_steps_series_fkey references refining_series (id),
    batch_id bigint not null constraint refining_steps_batch_fkey references batches (id),
    place integer not null constraint refining_steps_place_range check (place between 1 and 99),
    question text not null default '' constraint refining_steps_question_length check (char_length(question) <= 500),
    change text not null default '' constraint refining_steps_change_length check (char_length(change) <= 500),
    expected text not null default '' constraint refining_steps_expected_length check (char_length(expected) <= 500),
    decision text not null default '' constraint refining_steps_decision_length check (char_length(decision) <= 1000),
    decided_at timestamptz,
    version integer not null default 1 constraint refining_steps_version_range check (version >= 1),
    primary key (series_id, batch_id)
);
create index refining_steps_of_batch on refining_steps (batch_id);

-- A calendar's address opens the calendar and nothing else.
alter table member_tokens drop constraint member_tokens_opens_known;
alter table member_tokens add constraint member_tokens_opens_known
    check (opens in ('read', 'write', 'feed', 'calendar'));

-- Removes batches with everything that is theirs; what was parted from them stays on its own.
create function remove_batches(going bigint[]) returns void
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform set_config('mustwright.removing', 'for good', true);
    update batches set parted_from_id = null where parted_from_id = any (going);
    delete from refining_steps where batch_id = any (going);
    delete from batch_sensors where batch_id = any (going);
    delete from batch_pictures where batch_id = any (going);
    delete from batch_entries where batch_id = any (going);
    delete from batches where id = any (going);
    perform set_config('mustwright.removing', '', true);
end
$$;

-- A batch keeps what it was made of in itself, so a recipe may go, and those who made it do not hold it.
create function forget_recipes_of_batches(going bigint[]) returns void
language sql security definer set search_path = public, pg_temp as $$
    update batches set revision_id = null
        where revision_id in (select id from revisions where recipe_id = any (going))
$$;

create or replace function remove_recipes(going bigint[]) returns void
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform set_config('mustwright.removing', 'for good', true);
    perform forget_recipes_of_batches(going);
    update recipe_drafts set started_from_id = null
        where started_from_id in (select id from revisions where recipe_id = any (going));
    update recipes set started_from_id = null where id = any (going) and started_from_id is not null;
    delete from recipe_ratings where recipe_id = any (going);
    delete from recipe_comment_words where comment_id in (select id from recipe_comments where recipe_id = any (going));
    delete from recipe_comments where recipe_id = any (going);
    delete from revision_numbers where revision_id in (select id from revisions where recipe_id = any (going));
    delete from revisions where recipe_id = any (going);
    -- What lists read goes with it; orders and meetings forget which it was.
    delete from recipes where id = any (going);
    perform set_config('mustwright.removing', '', true);
end
$$;

-- What lay in the bin goes, and the private batches of a member who is gone.
create function empty_bins_of_batches(until timestamptz) returns bigint
language plpgsql security definer set search_path = public, pg_temp as $$
declare
    going bigint[];
begin
    going := array(
        select b.id from batches b join members m on m.id = b.owner_id
        where b.binned_at <= until or (m.gone_at is not null and (b.visibility = 'private' or b.binned_at is not null)));
    perform remove_batches(going);
    delete from refining_series s using members m
        where m.id = s.owner_id and m.gone_at is not null
            and not exists (select from refining_steps t where t.series_id = s.id);
    return coalesce(cardinality(going), 0);
end
$$;

revoke execute on function remove_batches(bigint[]), forget_recipes_of_batches(bigint[]),
    empty_bins_of_batches(timestamptz) from public;
do $$
declare
    app_role text := current_setting('mustwright.app_role', true);
begin
    if app_role is not null and app_role <> '' and app_role <> current_user then
        execute format('grant execute on function empty_bins_of_batches(timestamptz) to %I', app_role);
    end if;
end
$$;

select grant_to_app('batches', 'select, insert, update');
select grant_to_app('batch_entries', 'select, insert');
select grant_to_app('batch_numbers', 'select, insert, update');
select grant_to_app('batch_pictures', 'select, insert, delete');
select grant_to_app('batch_sensors', 'select, insert, update');
select grant_to_app('refining_series', 'select, insert, update');
select grant_to_app('refining_steps', 'select, insert, update, delete');
