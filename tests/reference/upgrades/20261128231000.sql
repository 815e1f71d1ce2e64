-- Rows for what 20261128231000_cellar.sql makes, as they were then.

insert into cellar_lots (id, public_id, code, batch_id, entry, size_ml, filled, gas, filled_at, good_on, best_on, keeps_until, place, kept_back, kept_until) overriding system value values
('2', 'oti3sfeeyaihsnzfg7p6', '7rxzsfizklaz', '4', '14', '750', '4', 'false', '2026-11-06 17:38:51.127038+00', '2027-02-10', '2027-08-10', '2031-08-10', 'kitchen shelf', '2', '2027-03-28'),
('3', 'qbdk5owl6iac2dxpgdtd', 'f6d4jtlvpjbh', '9', '17', '750', '22', 'false', '2026-06-17 17:38:51.127038+00', '2026-06-29', '2026-12-29', '2030-12-29', 'under the stairs, left', '2', '2027-03-28'),
('5', 'lazdkrlxj4ufaycuzmvs', '5mo3use2cjs5', '11', '14', '750', '19', 'false', '2026-06-01 17:38:51.127038+00', '2026-06-01', '2026-11-01', '2029-02-01', '', '0', null),
('6', 't5j4jw5c76vookf6tcbj', 'ul3tvrumvpcd', '12', '13', '750', '19', 'false', '2026-06-06 17:38:51.127038+00', '2026-05-27', '2026-10-27', '2029-01-27', '', '0', null)
on conflict (id) do nothing;

insert into cellar_taken (id, public_id, lot_id, bottles, why, whom, by_id, at, recorded_at, put_back_at) overriding system value values
('1', 'fe4z3bq23k4fbtnzi3ve', '3', '1', 'drunk', '', '1', '2026-07-11 17:38:51.127038+00', '2026-07-11 17:38:51.127038+00', null),
('10', 'a3vms5wzoyuyqrn5txmf', '2', '1', 'drunk', '', '2', '2026-11-18 17:38:51.127038+00', '2026-11-18 17:38:51.127038+00', null)
on conflict (id) do nothing;
