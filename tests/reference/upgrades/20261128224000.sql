-- Rows for what 20261128224000_sensor_hours.sql makes, as they were then.

insert into batch_sensor_hours (batch_id, hour, instrument, entry, at, recorded_at, data, readings, sg_low, sg_high, must_low_c, must_high_c) overriding system value values
('1', '497000', 'the float in the carboy', '2', '2026-10-04 18:30:00+00', '2026-10-04 18:31:00+00', '{"reading": {"sg": 1.061}}', '3', '1.06', '1.062', '18.5', '19')
on conflict (batch_id, hour, instrument) do nothing;
