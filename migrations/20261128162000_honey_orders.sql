-- Honey ordered together: what is offered, who wants how much, who has paid.

create table honey_orders (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint honey_orders_public_id_key unique
        constraint honey_orders_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    opener_id bigint not null constraint honey_orders_opener_fkey references members (id),
    title text not null constraint honey_orders_title_length check (char_length(title) between 1 and 120),
    -- Whose honey it is, how it comes, how to pay.
    terms text not null default '' constraint honey_orders_terms_length check (char_length(terms) <= 2000),
    -- In the smallest coin of the club's currency.
    delivery bigint not null constraint honey_orders_delivery_range check (delivery between 0 and 1000000000),
    pay_until date,
    -- From here on nobody adds anything, whether or not somebody closed it before.
    closes_at timestamptz not null,
    closed_at timestamptz,
    done_at timestamptz,
    cancelled_at timestamptz,
    -- What an edit must have seen.
    version integer not null default 1 constraint honey_orders_version_range check (version >= 1),
    created_at timestamptz not null,
    constraint honey_orders_one_end check (done_at is null or cancelled_at is null)
);

create table honey_order_honeys (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint honey_order_honeys_public_id_key unique
        constraint honey_order_honeys_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    order_id bigint not null constraint honey_order_honeys_order_fkey references honey_orders (id),
    -- The kind of honey in the catalogue, if any: recipes that hold it need this one.
    key text constraint honey_order_honeys_key_length check (char_length(key) between 1 and 100),
    name text not null constraint honey_order_honeys_name_length check (char_length(name) between 1 and 120),
    price_per_kg bigint not null constraint honey_order_honeys_price_range check (price_per_kg between 0 and 100000000),
    pack_kg double precision not null constraint honey_order_honeys_pack_range check (pack_kg between 0.01 and 1000)
);
create index honey_order_honeys_of_order on honey_order_honeys (order_id);

create table honey_order_lines (
    id bigint generated always as identity primary key,
    public_id text collate "C" not null constraint honey_order_lines_public_id_key unique
        constraint honey_order_lines_public_id_shape check (public_id ~ '^[a-z2-7]{20}$'),
    order_id bigint not null constraint honey_order_lines_order_fkey references honey_orders (id),
    honey_id bigint not null constraint honey_order_lines_honey_fkey references honey_order_honeys (id),
    member_id bigint not null constraint honey_order_lines_member_fkey references members (id),
    kg double precision not null constraint honey_order_lines_kg_range check (kg > 0 and kg <= 10000),
    -- The recipe that needs it, as it was then, and for what volume.
    recipe_id bigint constraint honey_order_lines_recipe_fkey references recipes (id) on delete set null,
    revision_number integer,
    volume_l double precision,
    at timestamptz not null
);
create index honey_order_lines_of_order on honey_order_lines (order_id);
create index honey_order_lines_of_member on honey_order_lines (member_id);
create index honey_order_lines_of_recipe on honey_order_lines (recipe_id) where recipe_id is not null;

-- Who has paid, and who has their honey.
create table honey_order_ticks (
    order_id bigint not null constraint honey_order_ticks_order_fkey references honey_orders (id),
    member_id bigint not null constraint honey_order_ticks_member_fkey references members (id),
    paid_at timestamptz,
    handed_at timestamptz,
    constraint honey_order_ticks_pkey primary key (order_id, member_id)
);

select grant_to_app('honey_orders', 'select, insert, update');
select grant_to_app('honey_order_honeys', 'select, insert, update, delete');
select grant_to_app('honey_order_lines', 'select, insert, update, delete');
select grant_to_app('honey_order_ticks', 'select, insert, update, delete');
