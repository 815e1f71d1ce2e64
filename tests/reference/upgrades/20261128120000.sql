-- Rows for what 20261128120000_vessels.sql makes, as they were then.

insert into instruments (id, public_id, owner_id, name, kind, in_water_sg, marked_for_c, step, most_g, in_ice_c, calibrated_on, notes, typed, version, retired_at, created_at) overriding system value values
('2', 'shcehhcnewezwimuxuzr', '1', 'Letter scale', 'scale', null, null, '0.1', '500', null, null, '', '{}', '1', null, '2026-11-28 17:38:51.127038+00'),
('4', 'h23ppar6tithlx2uin2k', '1', 'Pen', 'ph_meter', null, null, '0.01', null, null, '2026-10-18', '', '{}', '1', null, '2026-11-28 17:38:51.127038+00')
on conflict (id) do nothing;

insert into vessels (id, public_id, owner_id, name, kind, made_of, brim_l, wide_mouth, headspace_fraction, loss_l, how_many, notes, typed, version, retired_at, created_at) overriding system value values
('4', 'f2ycusvi6vx4hoxtoinc', '1', 'Keg', 'keg', 'steel', '19', 'false', null, null, '1', '', '{}', '1', null, '2026-11-28 17:38:51.127038+00'),
('6', 'judabwm7b2vcpkprq2ll', '2', 'Demijohn', 'demijohn', 'glass', '4.55', 'false', null, null, '2', '', '{}', '1', null, '2026-11-28 17:38:51.127038+00')
on conflict (id) do nothing;
