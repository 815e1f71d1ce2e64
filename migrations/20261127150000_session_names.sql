-- A session has a random name, by which its member ends it from another place.

alter table sessions
    add column public_id text not null default replace(gen_random_uuid()::text, '-', '')
        constraint sessions_public_id_key unique;
