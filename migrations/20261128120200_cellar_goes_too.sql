-- What a member kept of vessels and instruments goes with them; what they lent is lent no more.

create function forget_cellar() returns trigger
language plpgsql as $$
begin
    delete from instruments where owner_id = new.id;
    delete from vessels where owner_id = new.id;
    update club_equipment set withdrawn_at = new.gone_at, version = version + 1
        where owner_id = new.id and withdrawn_at is null;
    return null;
end
$$;
create trigger cellar_goes_too after update of gone_at on members
    for each row when (new.gone_at is not null and old.gone_at is null) execute function forget_cellar();
