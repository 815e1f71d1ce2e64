-- Rows for what 20261128140000_recipe_comments.sql makes, as they were then.

insert into recipe_comment_words (comment_id, number, words, written_at) overriding system value values
('1', '1', 'The touch of sweetness is right. I would have guessed less than 12 %.', '2026-08-25 17:38:51.127038+00'),
('10', '1', '> Down to 11.5 %

What did it start at on your hydrometer? I like to see it before I believe it.', '2026-11-22 17:38:51.127038+00'),
('4', '1', 'The stones were out, I hope?', '2026-10-19 17:38:51.127038+00'),
('7', '1', 'For a first one? For *anybody''s*.', '2026-11-14 17:38:51.127038+00')
on conflict (comment_id, number) do nothing;

insert into recipe_comments (id, public_id, recipe_id, writer_id, revision_number, version, written_at, removed_at, removed_by, removed_as) overriding system value values
('1', 'xyljtou4cuv7wdchdxha', '1', '3', '3', '1', '2026-08-25 17:38:51.127038+00', null, null, null),
('10', 'emuu45nwt4aju5cqotcv', '1', '5', '4', '1', '2026-11-22 17:38:51.127038+00', null, null, null),
('4', 'l7vkf2xzwuleyxu4atcv', '13', '2', '1', '1', '2026-10-19 17:38:51.127038+00', null, null, null),
('7', 'phgunq2kf3giorkciqu7', '3', '4', '2', '1', '2026-11-14 17:38:51.127038+00', null, null, null)
on conflict (id) do nothing;
