-- Rows for what 20261128162000_honey_orders.sql makes, as they were then.

insert into honey_order_honeys (id, public_id, order_id, key, name, price_per_kg, pack_kg) overriding system value values
('1', 'iixgfqjksdphi5omr66a', '1', 'honey-wildflower', 'Wildflower of the valley', '780', '12.5'),
('2', 'qcyvtsb2ij4ro3upedis', '1', 'honey-buckwheat', 'Buckwheat', '990', '5')
on conflict (id) do nothing;

insert into honey_order_lines (id, public_id, order_id, honey_id, member_id, kg, recipe_id, revision_number, volume_l, at) overriding system value values
('2', '43umeut2vberfdgjih3c', '1', '1', '6', '11.3', null, null, null, '2026-11-26 17:38:51.127038+00'),
('3', '2afrlox2w36zvqoh3qr3', '1', '2', '3', '4.6', null, null, null, '2026-11-26 17:38:51.127038+00')
on conflict (id) do nothing;

insert into honey_order_ticks (order_id, member_id, paid_at, handed_at) overriding system value values
('1', '1', '2026-10-01 10:10:00+00', null)
on conflict (order_id, member_id) do nothing;

insert into honey_orders (id, public_id, opener_id, title, terms, delivery, pay_until, closes_at, closed_at, done_at, cancelled_at, version, created_at) overriding system value values
('1', 'ejmpvc7hzs7fnndkzjv6', '1', 'Winter order from the valley', 'From the apiary at the weir, filled in buckets. Fetched by Desmond’s van; pay Maren in cash or by transfer.', '1800', '2026-12-14', '2026-12-07 17:38:51.127038+00', null, null, null, '1', '2026-11-24 17:38:51.127038+00')
on conflict (id) do nothing;
