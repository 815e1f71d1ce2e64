-- Rows for what 20261128163000_meetings.sql makes, as they were then.

insert into meeting_answers (meeting_id, member_id, answer, at) overriding system value values
('1', '1', 'yes', '2026-11-22 17:38:51.127038+00'),
('1', '3', 'yes', '2026-11-22 17:38:51.127038+00')
on conflict (meeting_id, member_id) do nothing;

insert into meeting_pours (id, public_id, meeting_id, member_id, words, recipe_id, revision_number, abv_percent, fg, allergens, beware, place, at) overriding system value values
('1', 'gragcnxuns3dcmh4a7j3', '1', '1', 'Lower orchard', '9', '2', '10.999999999991646', '0.9989287313869376', '{}', '', null, '2026-11-22 17:38:51.127038+00'),
('5', '57ga2xs3qzufau2snz5x', '1', '4', 'A dry cherry mead, two years old', null, null, null, null, '{}', '', null, '2026-11-22 17:38:51.127038+00')
on conflict (id) do nothing;

insert into meetings (id, public_id, opener_id, title, starts_at, place, about, notes, cancelled_at, version, created_at) overriding system value values
('1', 'msl7636a5w4us7cf42ij', '3', 'Tasting before the solstice', '2026-12-11 18:00:00+00', 'The boathouse, upper room', 'Everybody brings one bottle that is ready and one that is not. Soup afterwards. The last bus leaves at eleven.', '', null, '1', '2026-11-22 17:38:51.127038+00')
on conflict (id) do nothing;
