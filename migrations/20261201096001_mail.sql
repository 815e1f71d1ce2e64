-- Where a member may be written to, if they gave an address. Nobody else reads it.

create table member_mail (
    member_id bigint constraint member_mail_pkey primary key
        constraint member_mail_member_fkey references members (id) on delete cascade,
    address text not null constraint member_mail_address_length check (char_length(address) between 3 and 254),
    -- Until whoever reads the mails there has said so, nothing else is sent.
    confirmed_at timestamptz,
    confirm_hash bytea constraint member_mail_confirm_hash_length check (octet_length(confirm_hash) = 32),
    confirm_until timestamptz,
    reminders boolean not null default false,
    -- Stands in every reminder, and stops them; it opens nothing else.
    stop_token text not null constraint member_mail_stop_token_key unique
        constraint member_mail_stop_token_shape check (stop_token ~ '^[a-z2-7]{52}$')
);
create unique index member_mail_confirm_hash on member_mail (confirm_hash);
select grant_to_app('member_mail', 'select, insert, update, delete');
