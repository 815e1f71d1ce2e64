-- A sheet knows the open page that wrote it, so that a page which lost its connection never fights with itself, and two pages
-- never overwrite each other. In finals and for the best of show each judge puts the glasses in order.

alter table competition_sheets
    -- Random, of one open page; empty where there was no script, and on paper.
    add column hand text collate "C" not null default ''
        constraint competition_sheets_hand_shape check (hand ~ '^([a-z2-7]{26})?$'),
    -- Grows with every sending of that page: what arrives late replaces nothing newer.
    add column sequence bigint not null default 0
        constraint competition_sheets_sequence_range check (sequence >= 0);
create index competition_sheets_of_entry on competition_sheets (entry_id);

-- The last row of a judge counts.
create table competition_orders (
    id bigint generated always as identity primary key,
    flight_id bigint not null constraint competition_orders_flight_fkey references competition_flights (id),
    judge_id bigint not null constraint competition_orders_judge_fkey references members (id),
    number integer not null constraint competition_orders_number_range check (number >= 1),
    -- Codes, the best first.
    codes text[] not null constraint competition_orders_codes_count check (cardinality(codes) between 1 and 40),
    at timestamptz not null,
    constraint competition_orders_number_key unique (flight_id, judge_id, number)
);
create index competition_orders_of_judge on competition_orders (judge_id);
create trigger competition_orders_stay before update or delete on competition_orders
    for each row execute function refuse_change();
create trigger competition_orders_stay_all before truncate on competition_orders
    for each statement execute function refuse_change();
select grant_to_app('competition_orders', 'select, insert');
