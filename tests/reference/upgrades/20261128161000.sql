-- Rows for what 20261128161000_honey_shelf.sql makes, as they were then.

insert into honey_jar_entries (id, jar_id, member_id, deed, kg, left_kg, owed, note, at) overriding system value values
('1', '1', '1', 'put', '11', '11', null, '', '2026-09-29 17:38:51.127038+00'),
('3', '2', '4', 'put', '4.5', '4.5', null, '', '2026-09-29 17:38:51.127038+00')
on conflict (id) do nothing;

insert into honey_jars (id, public_id, owner_id, of_club, shared, name, varietal, bee_keeper, harvest_year, place, water, colour, smell, taste, note, left_kg, price_per_kg, put_away, version, created_at) overriding system value values
('1', 'fcqke2hsz64qopug34c2', '1', 'true', 'true', 'Boathouse lime', 'honey-linden', 'the club’s two hives', '2025', 'behind the boathouse', '0.178', 'extra light amber', 'Mint, cut grass, a little menthol.', '', '', '10.4', null, 'false', '1', '2026-09-29 17:38:51.127038+00'),
('2', 'zqvrsk33gmjjqch2ke47', '4', 'false', 'true', 'Moor heather', 'honey-heather', 'Oskar’s neighbour', '2025', 'the high moor', '0.207', 'amber', 'Warm, bitter, like toffee held over smoke.', '', '', '3.9', '1350', 'false', '1', '2026-09-29 17:38:51.127038+00'),
('3', 'feeuha4t5wxne2noxaxr', '3', 'false', 'true', 'Chestnut of the hill', 'honey-chestnut', 'an uncle', '2025', 'above the vineyard', null, 'dark amber', 'Leather, and something of a stable.', '', '', '1.4', '1100', 'false', '1', '2026-09-29 17:38:51.127038+00')
on conflict (id) do nothing;
