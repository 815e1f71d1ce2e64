-- Competitions: what organisers fix, whose duty is what, entries under codes, flights, sheets, places, and a chain of everything
-- that was done. Whose an entry is stands in a table of its own; nothing that judges or stewards read joins it.

create table competitions (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint competitions_public_id_key unique
        constraint competitions_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    title text not null constraint competitions_title_length check (char_length(title) between 1 and 120),
    phase text not null default 'draft' constraint competitions_phase_known
        check (phase in ('draft', 'open', 'closed', 'received', 'judging', 'review', 'released', 'archived')),
    -- Six waters, to learn it all: it hides nothing and counts nowhere.
    rehearsal boolean not null default false,
    -- What is fixed before it opens, as engine::contest::Rules: dates, limits, bottles, sheet, ties, sizes of flights.
    rules jsonb not null constraint competitions_rules_object check (jsonb_typeof(rules) = 'object')
        constraint competitions_rules_size check (octet_length(rules::text) <= 60000),
    -- Text of the house rules, in markdown, and what one can win.
    terms text not null default '' constraint competitions_terms_length check (char_length(terms) <= 10000),
    prizes text not null default '' constraint competitions_prizes_length check (char_length(prizes) <= 2000),
    -- Hash of who entered what, shown from the close on; what it was made with is shown at release.
    commitment bytea constraint competitions_commitment_length check (octet_length(commitment) = 32),
    commitment_salt bytea constraint competitions_salt_length check (octet_length(commitment_salt) = 32),
    created_at timestamptz not null,
    released_at timestamptz,
    version integer not null default 1 constraint competitions_version_range check (version >= 1)
);
create index competitions_newest on competitions (created_at desc, id desc);

create table competition_categories (
    id bigint generated always as identity primary key,
    competition_id bigint not null constraint competition_categories_competition_fkey references competitions (id) on delete cascade,
    place integer not null constraint competition_categories_place_range check (place between 1 and 60),
    name text not null constraint competition_categories_name_length check (char_length(name) between 1 and 80),
    about text not null default '' constraint competition_categories_about_length check (char_length(about) <= 600),
    -- What proposes itself for it: engine codes of style family and strength; none stands for any.
    family text,
    strength text,
    -- Set by the published rule after the close: the category into which this one went, or of which it is a part.
    merged_into bigint constraint competition_categories_merged_fkey references competition_categories (id),
    part_of bigint constraint competition_categories_part_fkey references competition_categories (id),
    constraint competition_categories_place_key unique (competition_id, place) deferrable initially deferred,
    constraint competition_categories_name_key unique (competition_id, name)
);

-- Duties. One member may have several; what that walls them off from follows from their entries.
create table competition_roster (
    competition_id bigint not null constraint competition_roster_competition_fkey references competitions (id) on delete cascade,
    member_id bigint not null constraint competition_roster_member_fkey references members (id),
    duty text not null constraint competition_roster_duty_known check (duty in ('organiser', 'steward', 'judge')),
    experienced boolean not null default false,
    -- Allergens and kinds that a judge does not taste: matched, never shown to others.
    abstains text[] not null default '{}',
    -- The most glasses a day that a judge wants; none takes the rule's.
    ceiling integer constraint competition_roster_ceiling_range check (ceiling between 1 and 60),
    primary key (competition_id, member_id, duty)
);
create index competition_roster_of_member on competition_roster (member_id);

-- Members whose meads a judge must not judge besides their own: household, made together. One row for both directions.
create table competition_conflicts (
    competition_id bigint not null constraint competition_conflicts_competition_fkey references competitions (id) on delete cascade,
    one_id bigint not null constraint competition_conflicts_one_fkey references members (id),
    other_id bigint not null constraint competition_conflicts_other_fkey references members (id),
    constraint competition_conflicts_order check (one_id < other_id),
    primary key (competition_id, one_id, other_id)
);
create index competition_conflicts_of_one on competition_conflicts (one_id);
create index competition_conflicts_of_other on competition_conflicts (other_id);

-- What is judged. No column says whose it is.
create table competition_entries (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint competition_entries_public_id_key unique
        constraint competition_entries_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    competition_id bigint not null constraint competition_entries_competition_fkey references competitions (id) on delete cascade,
    category_id bigint not null constraint competition_entries_category_fkey references competition_categories (id),
    -- Random, and what bottle, sheet and list bear: a letter pair and three digits without likeness.
    code text collate "C" not null constraint competition_entries_code_shape check (code ~ '^[A-Z]{2}[0-9]{3}$'),
    -- What judges may read, as engine::contest::Declared: strength, sweetness, sparkle, special ingredients, allergens, a note.
    declared jsonb not null constraint competition_entries_declared_object check (jsonb_typeof(declared) = 'object')
        constraint competition_entries_declared_size check (octet_length(declared::text) <= 8000),
    -- The note as judges read it where a steward masked words in it.
    masked_note text constraint competition_entries_masked_length check (char_length(masked_note) <= 600),
    withdrawn_at timestamptz,
    fee_paid_at timestamptz,
    -- How its bottles came: none yet, 'here', 'leaking', 'late', 'missing'.
    arrival text constraint competition_entries_arrival_known check (arrival in ('here', 'leaking', 'late', 'missing')),
    bottles_here integer constraint competition_entries_bottles_range check (bottles_here between 0 and 24),
    -- Somebody looked whether bottle and words tell nothing.
    checked_at timestamptz,
    version integer not null default 1 constraint competition_entries_version_range check (version >= 1),
    constraint competition_entries_code_key unique (competition_id, code)
);
create index competition_entries_of_category on competition_entries (category_id);

-- Whose it is: read by its makers, and by the organiser's own pages with a row in the chain.
create table competition_makers (
    entry_id bigint not null constraint competition_makers_entry_fkey references competition_entries (id) on delete cascade,
    member_id bigint not null constraint competition_makers_member_fkey references members (id),
    -- Whoever entered it; the others made it together with them.
    leads boolean not null,
    batch_id bigint constraint competition_makers_batch_fkey references batches (id) on delete set null,
    -- What its makers call it.
    name text not null constraint competition_makers_name_length check (char_length(name) between 1 and 120),
    entered_at timestamptz not null,
    primary key (entry_id, member_id)
);
create unique index competition_makers_lead on competition_makers (entry_id) where leads;
create index competition_makers_of_member on competition_makers (member_id);
create index competition_makers_of_batch on competition_makers (batch_id) where batch_id is not null;

-- Glasses poured one after another at one table.
create table competition_flights (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint competition_flights_public_id_key unique
        constraint competition_flights_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    competition_id bigint not null constraint competition_flights_competition_fkey references competitions (id) on delete cascade,
    -- Of a category, the final of one, or the best of the whole show.
    kind text not null constraint competition_flights_kind_known check (kind in ('first', 'final', 'best', 'calibration')),
    category_id bigint constraint competition_flights_category_fkey references competition_categories (id),
    number integer not null constraint competition_flights_number_range check (number between 1 and 999),
    session integer not null default 1 constraint competition_flights_session_range check (session between 1 and 30),
    state text not null default 'planned' constraint competition_flights_state_known
        check (state in ('planned', 'poured', 'done')),
    constraint competition_flights_number_key unique (competition_id, number),
    constraint competition_flights_of_category check ((kind in ('first', 'final')) = (category_id is not null))
);

create table competition_pours (
    flight_id bigint not null constraint competition_pours_flight_fkey references competition_flights (id) on delete cascade,
    entry_id bigint not null constraint competition_pours_entry_fkey references competition_entries (id),
    place integer not null constraint competition_pours_place_range check (place between 1 and 40),
    primary key (flight_id, entry_id),
    constraint competition_pours_place_key unique (flight_id, place) deferrable initially deferred
);
create index competition_pours_of_entry on competition_pours (entry_id);

create table competition_tables (
    flight_id bigint not null constraint competition_tables_flight_fkey references competition_flights (id) on delete cascade,
    member_id bigint not null constraint competition_tables_member_fkey references members (id),
    -- Leads the talk at the table, and writes what they agree on.
    leads boolean not null default false,
    primary key (flight_id, member_id)
);
create index competition_tables_of_member on competition_tables (member_id);

-- Sheets. Every save is a row; the last one counts, and after one that is signed nothing follows but a reopening.
create table competition_sheets (
    id bigint generated always as identity primary key,
    flight_id bigint not null constraint competition_sheets_flight_fkey references competition_flights (id),
    entry_id bigint not null constraint competition_sheets_entry_fkey references competition_entries (id),
    judge_id bigint not null constraint competition_sheets_judge_fkey references members (id),
    number integer not null constraint competition_sheets_number_range check (number >= 1),
    deed text not null constraint competition_sheets_deed_known
        check (deed in ('saved', 'signed', 'recused', 'reopened', 'typed', 'checked')),
    -- As engine::contest::Sheet.
    data jsonb not null constraint competition_sheets_data_object check (jsonb_typeof(data) = 'object')
        constraint competition_sheets_data_size check (octet_length(data::text) <= 20000),
    -- Whoever wrote it, where paper was typed in: the judge otherwise.
    by_id bigint not null constraint competition_sheets_by_fkey references members (id),
    at timestamptz not null,
    constraint competition_sheets_number_key unique (flight_id, entry_id, judge_id, number)
);
create index competition_sheets_of_judge on competition_sheets (judge_id);
create trigger competition_sheets_stay before update or delete on competition_sheets
    for each row execute function refuse_change();
create trigger competition_sheets_stay_all before truncate on competition_sheets
    for each statement execute function refuse_change();

-- What a table agreed on: points and place of an entry in its flight; the last row counts.
create table competition_agreed (
    id bigint generated always as identity primary key,
    flight_id bigint not null constraint competition_agreed_flight_fkey references competition_flights (id),
    number integer not null constraint competition_agreed_number_range check (number >= 1),
    -- As engine::contest::Agreed: of each entry its points, its place, whether it goes on; for a final each judge's order.
    data jsonb not null constraint competition_agreed_data_object check (jsonb_typeof(data) = 'object')
        constraint competition_agreed_data_size check (octet_length(data::text) <= 40000),
    by_id bigint not null constraint competition_agreed_by_fkey references members (id),
    at timestamptz not null,
    constraint competition_agreed_number_key unique (flight_id, number)
);
create trigger competition_agreed_stay before update or delete on competition_agreed
    for each row execute function refuse_change();
create trigger competition_agreed_stay_all before truncate on competition_agreed
    for each statement execute function refuse_change();

-- Results: what they were reckoned from, what came out, and a hash over both. The last row counts.
create table competition_results (
    id bigint generated always as identity primary key,
    competition_id bigint not null constraint competition_results_competition_fkey references competitions (id),
    number integer not null constraint competition_results_number_range check (number >= 1),
    inputs jsonb not null constraint competition_results_inputs_object check (jsonb_typeof(inputs) = 'object'),
    answer jsonb not null constraint competition_results_answer_object check (jsonb_typeof(answer) = 'object'),
    hash bytea not null constraint competition_results_hash_length check (octet_length(hash) = 32),
    at timestamptz not null,
    constraint competition_results_number_key unique (competition_id, number)
);
create trigger competition_results_stay before update or delete on competition_results
    for each row execute function refuse_change();
create trigger competition_results_stay_all before truncate on competition_results
    for each statement execute function refuse_change();

-- What was done: each row's hash covers its text and the hash before it.
create table competition_deeds (
    id bigint generated always as identity primary key,
    competition_id bigint not null constraint competition_deeds_competition_fkey references competitions (id),
    number integer not null constraint competition_deeds_number_range check (number >= 1),
    at timestamptz not null,
    by_id bigint constraint competition_deeds_by_fkey references members (id),
    deed text not null constraint competition_deeds_deed_length check (char_length(deed) between 1 and 40),
    -- What it was about, what stood before and what after; ids and codes, no names.
    about jsonb not null constraint competition_deeds_about_object check (jsonb_typeof(about) = 'object')
        constraint competition_deeds_about_size check (octet_length(about::text) <= 20000),
    reason text not null default '' constraint competition_deeds_reason_length check (char_length(reason) <= 600),
    hash bytea not null constraint competition_deeds_hash_length check (octet_length(hash) = 32),
    constraint competition_deeds_number_key unique (competition_id, number)
);
create trigger competition_deeds_stay before update or delete on competition_deeds
    for each row execute function refuse_change();
create trigger competition_deeds_stay_all before truncate on competition_deeds
    for each statement execute function refuse_change();

-- Whether this member's book is closed: between the close and the release they read no recipe, batch or tasting of others.
create function book_closed(viewer bigint) returns boolean
language sql stable parallel safe as $$
    select exists (
        select from competition_roster s join competitions c on c.id = s.competition_id
        where s.member_id = viewer and s.duty in ('judge', 'steward') and not c.rehearsal
            and c.phase in ('closed', 'received', 'judging', 'review'))
$$;

select grant_to_app('competitions', 'select, insert, update, delete');
select grant_to_app('competition_categories', 'select, insert, update, delete');
select grant_to_app('competition_roster', 'select, insert, update, delete');
select grant_to_app('competition_conflicts', 'select, insert, update, delete');
select grant_to_app('competition_entries', 'select, insert, update, delete');
select grant_to_app('competition_makers', 'select, insert, update, delete');
select grant_to_app('competition_flights', 'select, insert, update, delete');
select grant_to_app('competition_pours', 'select, insert, update, delete');
select grant_to_app('competition_tables', 'select, insert, update, delete');
select grant_to_app('competition_sheets', 'select, insert');
select grant_to_app('competition_agreed', 'select, insert');
select grant_to_app('competition_results', 'select, insert');
select grant_to_app('competition_deeds', 'select, insert');

-- Who is forgotten takes along what they do not taste and whom they are kept apart from; their entries and sheets stay, without
-- a name.
create or replace function forget_member(who bigint, until timestamptz, at timestamptz) returns boolean
language plpgsql security definer set search_path = public, pg_temp as $$
begin
    perform from members where id = who and left_at <= until and gone_at is null for update;
    if not found then
        return false;
    end if;
    perform remove_recipes(recipes_that_may_go(array(
        select id from recipes where owner_id = who and (visibility <> 'club' or binned_at is not null))));
    -- What stays though it was private is seen by nobody: it only keeps its place in what others made of it.
    update recipes set visibility = 'private' where owner_id = who and (visibility = 'link' or binned_at is not null);
    delete from recipe_drafts where member_id = who;
    delete from sessions where member_id = who;
    delete from one_time_links where member_id = who;
    delete from once_keys where member_id = who;
    delete from waiting_imports where member_id = who;
    delete from imported_things where member_id = who;
    update competition_roster set abstains = '{}', ceiling = null where member_id = who;
    delete from competition_conflicts where who in (one_id, other_id);
    update members set mentor_id = null where mentor_id = who;
    update members set name = 'former member', name_key = 'former. ' || public_id, password_hash = null,
        role = 'member', units = 'metric', theme = 'device', zone = 'UTC', sachet_g = 5, whole_form = false,
        newcomers_may_ask = false, mentor_id = null, invite_id = null, gone_at = at
        where id = who;
    return true;
end
$$;
