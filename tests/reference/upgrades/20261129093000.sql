-- Rows for what 20261129093000_sheets.sql makes, as they were then.

insert into competition_orders (id, flight_id, judge_id, number, codes, at) overriding system value values
('1', '4', '4', '1', '{AM464,TL837,MM657}', '2026-10-23 17:38:51.127038+00'),
('2', '4', '5', '1', '{AM464,TL837,MM657}', '2026-10-23 17:38:51.127038+00')
on conflict (id) do nothing;
