-- Rows for what 20261128233000_blends.sql makes, as they were then.

insert into batch_parents (batch_id, parent_id, litres) overriding system value values
('1', '2', '9.5')
on conflict (batch_id, parent_id) do nothing;
