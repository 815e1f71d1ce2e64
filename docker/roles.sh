#!/bin/sh
# Makes the database and its two roles in a PostgreSQL server, as the private cluster has them: the owner migrates,
# the other serves and may not create, alter or drop. Run once, as a superuser, with psql's usual variables for the
# way there, and with the passwords in MUSTWRIGHT_OWNER_PASSWORD and MUSTWRIGHT_APP_PASSWORD, or in the files that
# MUSTWRIGHT_OWNER_PASSWORD_FILE and MUSTWRIGHT_APP_PASSWORD_FILE name.
set -eu

if [ -n "${MUSTWRIGHT_OWNER_PASSWORD_FILE:-}" ]; then
    MUSTWRIGHT_OWNER_PASSWORD=$(cat "$MUSTWRIGHT_OWNER_PASSWORD_FILE")
fi
if [ -n "${MUSTWRIGHT_APP_PASSWORD_FILE:-}" ]; then
    MUSTWRIGHT_APP_PASSWORD=$(cat "$MUSTWRIGHT_APP_PASSWORD_FILE")
fi
: "${MUSTWRIGHT_OWNER_PASSWORD:?}" "${MUSTWRIGHT_APP_PASSWORD:?}"
export MUSTWRIGHT_OWNER_PASSWORD MUSTWRIGHT_APP_PASSWORD
user=${POSTGRES_USER:-${PGUSER:-postgres}}

psql -X -v ON_ERROR_STOP=1 -U "$user" -d postgres <<'SQL'
\set owner_password `printenv MUSTWRIGHT_OWNER_PASSWORD`
\set app_password `printenv MUSTWRIGHT_APP_PASSWORD`
create role mustwright_owner login password :'owner_password';
create role mustwright_app login password :'app_password';
create database mustwright owner mustwright_owner template template0 encoding 'UTF8';
revoke all on database mustwright from public;
grant connect on database mustwright to mustwright_app;
SQL
psql -X -v ON_ERROR_STOP=1 -U "$user" -d mustwright <<'SQL'
alter schema public owner to mustwright_owner;
revoke all on schema public from public;
grant usage on schema public to mustwright_app;
SQL
