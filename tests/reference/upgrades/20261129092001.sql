-- Rows for what 20261129092001_calibration.sql makes, as they were then.

insert into competition_calibration_points (competition_id, member_id, points, at) overriding system value values
('1', '1', '{"look": 9, "smell": 30}', '2026-10-10 10:00:00+00')
on conflict (competition_id, member_id) do nothing;

insert into competition_calibrations (competition_id, mead, notice, version) overriding system value values
('1', 'A plain mead of 12 %', 'Sweet, clean, a little warm.', '1')
on conflict (competition_id) do nothing;
