-- The desk: special ingredients as judges read them where a steward masked words; and the seals of whose every entry is, made
-- when entries close, so that anybody can tell afterwards that no entry changed hands.

alter table competition_entries add column masked_special text
    constraint competition_entries_masked_special_length check (char_length(masked_special) <= 5000);
-- What stands for a masked word may be longer than the word.
alter table competition_entries drop constraint competition_entries_masked_length,
    add constraint competition_entries_masked_length check (char_length(masked_note) <= 5000);

create table competition_seals (
    entry_id bigint primary key constraint competition_seals_entry_fkey references competition_entries (id) on delete cascade,
    -- SHA-256 over the code, its makers and a salt of its own; names nobody.
    seal bytea not null constraint competition_seals_length check (octet_length(seal) = 32)
);

select grant_to_app('competition_seals', 'select, insert, delete');
