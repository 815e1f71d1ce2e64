-- Whoever is gone for good leaves no second step behind: keys, passkeys and codes go with the name.

create function remove_second_step() returns trigger
language plpgsql as $$
begin
    delete from code_apps where member_id = new.id;
    delete from code_apps_begun where member_id = new.id;
    delete from recovery_codes where member_id = new.id;
    delete from passkeys where member_id = new.id;
    delete from passkey_ceremonies where member_id = new.id;
    delete from half_sign_ins where member_id = new.id;
    delete from second_steps_taken where member_id = new.id;
    return null;
end
$$;
create trigger members_gone_without_second_step after update of gone_at on members
    for each row when (new.gone_at is not null) execute function remove_second_step();
