-- Rows for what 20261128233100_split_trials.sql makes, as they were then.

insert into split_trial_codes (batch_id, part_id, code) overriding system value values
('1', '2', '417')
on conflict (batch_id, part_id) do nothing;

insert into split_trials (batch_id, question, taste_on, made_at, changed_at, version, tasting) overriding system value values
('1', 'Which yeast keeps more of the honey?', '2027-03-01', '2026-10-01 10:00:00+00', '2026-10-01 10:00:00+00', '1', null)
on conflict (batch_id) do nothing;
