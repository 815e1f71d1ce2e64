-- Which meads a blend was poured together of, and how much of each went in. The blend goes on with the log of one of them.

create table batch_parents (
    batch_id bigint not null constraint batch_parents_batch_fkey references batches (id) on delete cascade,
    parent_id bigint not null constraint batch_parents_parent_fkey references batches (id) on delete cascade,
    litres double precision not null constraint batch_parents_litres_range check (litres > 0 and litres <= 200000),
    constraint batch_parents_differ check (batch_id <> parent_id),
    primary key (batch_id, parent_id)
);
create index batch_parents_of_parent on batch_parents (parent_id);

select grant_to_app('batch_parents', 'select, insert');
