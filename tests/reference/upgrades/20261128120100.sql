-- Rows for what 20261128120100_lending.sql makes, as they were then.

insert into club_equipment (id, public_id, name, owner_id, place, condition, version, withdrawn_at, created_at) overriding system value values
('1', 'cgdaqsk4zn6ioeiruaho', 'Hand press, 6 L', null, 'Maren’s shed', 'The bag has a seam that was mended. Rinse it at once.', '1', null, '2026-05-12 17:38:51.127038+00'),
('2', 'jdpbfpo3t4ft4gn3lw25', 'Stockpot, 30 L', null, 'the club room', 'Steel, for browned honey. The lid does not close.', '1', null, '2026-05-12 17:38:51.127038+00'),
('3', 'ddfjlsrxrnxnpz24bbzs', 'Capper with two bells', '4', 'by arrangement', '', '1', null, '2026-05-12 17:38:51.127038+00')
on conflict (id) do nothing;

insert into loans (id, public_id, equipment_id, member_id, asked_at, until_day, remark, lent_at, ended_at, ending, ended_by, came_back) overriding system value values
('1', 'g6fgxxh6y6amncdlkqtx', '1', '3', '2026-08-30 17:38:51.127038+00', '2026-09-20', 'for the last plums', '2026-08-30 17:38:51.127038+00', '2026-09-13 17:38:51.127038+00', 'given back', '1', 'clean'),
('2', 'qzjvvlk2ith3n2qbhw6b', '1', '2', '2026-11-19 17:38:51.127038+00', '2026-12-10', 'for the last plums', '2026-11-19 17:38:51.127038+00', null, null, null, '')
on conflict (id) do nothing;
