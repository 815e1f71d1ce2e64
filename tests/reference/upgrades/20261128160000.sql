-- Rows for what 20261128160000_cupboard.sql makes, as they were then.

insert into cupboard_changes (id, item_id, deed, amount, remaining, note, at) overriding system value values
('1', '1', 'put in', '3.4', '3.4', '', '2026-10-29 17:38:51.127038+00'),
('2', '2', 'put in', '0.08', '0.08', '', '2026-10-29 17:38:51.127038+00')
on conflict (id) do nothing;

insert into cupboard_items (id, public_id, owner_id, key, name, measure, remaining, paid, paid_for, bought_on, opened_on, best_before, note, version, created_at) overriding system value values
('1', 'not22zbf4amxli67ok7n', '2', 'honey-wildflower', 'Wildflower', 'kg', '3.4', '2850', '3', '2026-10-29', null, null, '', '1', '2026-10-29 17:38:51.127038+00'),
('2', 'b4ckwew5mnde43nd2hpq', '2', 'feed-mixed', 'Mixed nutrient', 'kg', '0.08', '640', '0.1', '2026-10-29', null, '2028-01-02', '', '1', '2026-10-29 17:38:51.127038+00'),
('4', 'lbpz3yndtlxweb6oyth4', '2', null, 'Elderberries in the freezer', 'kg', '1.8', null, null, '2026-10-29', null, null, '', '1', '2026-10-29 17:38:51.127038+00')
on conflict (id) do nothing;
