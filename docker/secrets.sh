#!/bin/sh
# Makes the passwords that docker/compose.yaml hands to its containers, each in a file of docker/secrets. Run again, it
# changes nothing: the database knows the passwords from its first start.
set -eu

cd "$(dirname "$0")"
umask 077
mkdir -p secrets

password() { LC_ALL=C tr -dc 'a-z0-9' </dev/urandom | dd bs=1 count=40 2>/dev/null; }

keep() {
    if [ -s "secrets/$1" ]; then
        echo "secrets/$1 is there already"
        return
    fi
    printf '%s\n' "$2" >"secrets/$1"
    # The folder is shut to everybody else on this machine; in the containers each file is read by an account of its own.
    chmod 0444 "secrets/$1"
    echo "secrets/$1 is made"
}

keep superuser_password "$(password)"
keep owner_password "$(password)"
keep app_password "$(password)"
keep database_url "postgres://mustwright_app:$(cat secrets/app_password)@db/mustwright"
keep migrate_database_url "postgres://mustwright_owner:$(cat secrets/owner_password)@db/mustwright"
