-- When a batch is expected to have used a third of its sugar, and to stand still: the earliest, the most likely and the latest
-- instant. Reckoned with everything else in this table, so that a plan is dated without fitting a forecast for each look at it.
alter table batch_numbers
    add column one_third_at timestamptz[]
        constraint batch_numbers_one_third_three check (cardinality(one_third_at) = 3),
    add column still_at timestamptz[]
        constraint batch_numbers_still_three check (cardinality(still_at) = 3);
