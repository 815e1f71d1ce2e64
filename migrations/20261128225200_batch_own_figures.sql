-- The club's own figures that were taken in place of the book's when a batch was started: of each the middle, the lowest, the
-- highest, and of how many batches. They stay as they were, whatever the club makes later.

alter table batches add column own jsonb not null default '{}'
    constraint batches_own_object check (jsonb_typeof(own) = 'object')
    constraint batches_own_size check (octet_length(own::text) <= 2000);
