-- A part of a batch begins with what sensors told until it was parted.
select grant_to_app('batch_sensor_readings', 'select');
