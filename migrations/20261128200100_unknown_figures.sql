-- A figure that is not known has no step: recipes without a price were marked as the cheapest of all, and read in vain
-- whenever somebody asked for cheap ones.
create or replace function cost_step(cost double precision) returns integer
language sql immutable strict parallel safe as $$
    select greatest(0, least(40, ceil(4 * log(greatest(cost, 0.001))) + 12))::integer
$$;

create or replace function facet_marks(family text, strength text, sweetness text, keys text[], abv double precision,
    cost double precision, ready_months integer, little_gear boolean, made integer, rating double precision)
returns text[] language sql immutable parallel safe as $$
    select array_remove(
        array['f=' || left(family, 60), 's=' || left(strength, 60), 't=' || left(sweetness, 60),
            case when abv is not null then 'p=' || greatest(0, least(40, floor(abv)))::integer end,
            'n=' || cost_step(cost), case when little_gear then 'g=little' end]
        || array(select 'k=' || left(key, 80) from unnest(keys) as key)
        || array(select 'y=' || months from unnest(array[1, 2, 4, 6, 9, 12]) as months where ready_months <= months)
        || array(select 'm=' || times from unnest(array[1, 2, 3, 5, 10]) as times where made >= times)
        || array(select 'r=' || tenths from unnest(array[30, 35, 40, 45]) as tenths where rating * 10 >= tenths),
        null)
$$;

select refresh_recipe_facets(array(select id from recipes));
