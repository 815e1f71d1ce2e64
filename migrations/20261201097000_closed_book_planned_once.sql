-- Almost every page asks whether the book is closed, for some of them row by row. As a function of SQL it was planned anew
-- in each statement; this one is planned once for each connection.
create or replace function book_closed(viewer bigint) returns boolean
language plpgsql stable parallel safe as $$
begin
    return exists (
        select from competition_roster s join competitions c on c.id = s.competition_id
        where s.member_id = viewer and s.duty in ('judge', 'steward') and not c.rehearsal
            and c.phase in ('closed', 'received', 'judging', 'review'));
end
$$;
