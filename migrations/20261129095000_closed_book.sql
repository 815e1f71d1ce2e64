-- The closed book: from the close of a competition to its release, whoever judges or pours at it reads no recipe, batch or
-- tasting of others, whatever their makers show to the club. Rehearsals close nothing.

-- In plpgsql, which keeps its plan from one query to the next.
create or replace function book_closed(viewer bigint) returns boolean
language plpgsql stable parallel safe cost 5 as $$
begin
    return exists (
        select from competition_roster s join competitions c on c.id = s.competition_id
        where s.member_id = viewer and s.duty in ('judge', 'steward') and not c.rehearsal
            and c.phase in ('closed', 'received', 'judging', 'review'));
end
$$;

-- These stay one expression each, so that a query reads them as its own. Whoever looks through many rows asks once, and
-- tells the answer: `recipe_visible(r, $1, (select book_closed($1)))`.
create function recipe_visible(recipe recipes, viewer_id bigint, closed boolean) returns boolean
language sql immutable parallel safe as $$
    select viewer_id is not null
        and (recipe.owner_id = viewer_id or (recipe.visibility = 'club' and recipe.binned_at is null and not closed))
$$;

create or replace function recipe_visible(recipe recipes, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select recipe_visible(recipe, viewer_id, book_closed(viewer_id))
$$;

create function batch_visible(batch batches, viewer_id bigint, closed boolean) returns boolean
language sql immutable parallel safe as $$
    select viewer_id is not null
        and (batch.owner_id = viewer_id or (batch.visibility = 'club' and batch.binned_at is null and not closed))
$$;

create or replace function batch_visible(batch batches, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select batch_visible(batch, viewer_id, book_closed(viewer_id))
$$;

create or replace function tasting_visible(tasting tastings, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select viewer_id is not null
        and (tasting.host_id = viewer_id
            or ((tasting.visibility = 'club'
                    or exists (select from tasting_seats s where s.tasting_id = tasting.id and s.member_id = viewer_id))
                and not book_closed(viewer_id)))
$$;

create or replace function tasting_readable(tasting tastings, viewer_id bigint) returns boolean
language sql stable parallel safe as $$
    select viewer_id is not null and tasting.closed_at is not null
        and (tasting.host_id = viewer_id
            or (exists (select from tasting_seats s where s.tasting_id = tasting.id and s.member_id = viewer_id
                    and (s.pick is not null or exists (select from tasting_answers a where a.seat_id = s.id)))
                and not book_closed(viewer_id)))
$$;
