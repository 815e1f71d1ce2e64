-- What every later migration uses: grants for the serving role, and append-only tables.

-- Grants to the role that serves. Its name stands in the setting mustwright.app_role of the migrating
-- connection; where one role does both, nothing needs granting.
create function grant_to_app(subject regclass, privileges text) returns void
language plpgsql as $$
declare
    app_role text := current_setting('mustwright.app_role', true);
begin
    if app_role is null or app_role = '' or app_role = current_user then
        return;
    end if;
    execute format('grant %s on %s to %I', privileges, subject, app_role);
end
$$;

-- Trigger function of append-only tables: holds also where one role migrates and serves.
create function refuse_change() returns trigger
language plpgsql as $$
begin
    raise exception 'rows of % are never changed or removed', tg_table_name
        using errcode = 'restrict_violation';
end
$$;
