-- Rows for what 20261128232000_tastings.sql makes, as they were then.

insert into tasting_answers (seat_id, place, data, at) overriding system value values
('10', '1', '{"text": "Wait until spring.", "words": {"aroma": "pear and a little bread"}, "liking": 6, "warmth": 1}', '2026-11-28 17:38:51.127038+00'),
('3', '1', '{"text": "I expected it to be sweet.", "words": {"aroma": "honeycomb"}, "liking": 6, "warmth": 1, "sweetness": -2}', '2026-11-23 17:38:51.127038+00')
on conflict (seat_id, place) do nothing;

insert into tasting_links (id, public_id, tasting_id, token_hash, note, expires_at, used_at, ended_at) overriding system value values
('1', 'aaaabbbbccccdddd2255', '1', '\x84983c60f7daadc1cb8698621f802c0d9f9a3c3c295c810748fb048115c186ec', 'for a neighbour', '2026-10-09 10:00:00+00', null, null)
on conflict (id) do nothing;

insert into tasting_pours (tasting_id, place, batch_id, name, code, allergens) overriding system value values
('2', '2', '7', 'Hedge, the wet year', null, '{}'),
('3', '1', '4', 'My first carboy', null, '{}')
on conflict (tasting_id, place) do nothing;

insert into tasting_seats (id, tasting_id, member_id, guest, token_hash, serving, pick, taken_at) overriding system value values
('1', '1', '2', null, null, null, null, '2026-11-23 17:38:51.127038+00'),
('10', '4', '5', null, null, null, null, '2026-11-28 17:38:51.127038+00'),
('3', '1', null, 'Lore', '\x7041c77a82bb803f0cd1e508a987ff8dae96c016007a452e0f8f44c58e29e29d', null, null, '2026-11-23 17:38:51.127038+00')
on conflict (id) do nothing;

insert into tasting_servings (tasting_id, number, codes, meads) overriding system value values
('2', '1', '{566,953,780}', '{1,2,1}'),
('2', '2', '{661,677,924}', '{1,2,2}')
on conflict (tasting_id, number) do nothing;

insert into tastings (id, public_id, host_id, title, kind, coded, on_paper, visibility, question, created_at, closed_at) overriding system value values
('1', 'tuf366spduqxxmwzv7eb', '1', 'First Thursday, two of last year', 'shared', 'true', 'false', 'club', 'Which of them would you pour for guests?', '2026-11-23 17:38:51.127038+00', '2026-11-23 19:38:51.127038+00'),
('2', 'ze6pl4bslazpllnaeajp', '1', 'Does the hedge hide in the plain one?', 'triangle', 'true', 'false', 'club', '', '2026-11-24 17:38:51.127038+00', '2026-11-24 18:38:51.127038+00'),
('3', 'gb2exmvb7bxg6qzafaqz', '2', 'My carboy beside Maren’s', 'triangle', 'true', 'true', 'club', '', '2026-11-27 17:38:51.127038+00', null),
('4', 'hx2wlypekmjswq6mllwv', '2', 'What does my first one need?', 'shared', 'true', 'false', 'club', 'Be honest.', '2026-11-28 17:38:51.127038+00', null)
on conflict (id) do nothing;
