-- Rows for what 20261125090100_members.sql makes, as they were then.

insert into members (id, public_id, name, name_key, password_hash, role, units, theme, zone, sachet_g, created_at, password_changed_at, disabled_at) overriding system value values
('1', '4vggkxntwqvj5oh45fkn', 'Maren Holloway', 'maren holloway', '$argon2id$v=19$m=19456,t=2,p=1$lrmXES8pmbyogsES+cyONA$Rklw1dmsXKNTm7Xusw941z6xda0z34AflXPSY+L9DHY', 'keeper', 'metric', 'device', 'Europe/Copenhagen', '5.00', '2022-11-29 17:38:51.127038+00', '2026-11-28 17:38:51.342254+00', null),
('2', 'q3i2jxwlvrcz53s4hvo3', 'Tobias Fenwick', 'tobias fenwick', '$argon2id$v=19$m=19456,t=2,p=1$z/2HLUSItaKNxiaq2GoTrg$2TPWPOv/yrkYxgvQlsIqORIg4/DpAuUmyg7/UpuYKdI', 'member', 'metric', 'device', 'Europe/Copenhagen', '5.00', '2026-09-03 17:38:51.127038+00', '2026-11-28 17:38:51.578338+00', null),
('3', 'uligstlrglglxzs42hut', 'Ines Quarrie', 'ines quarrie', null, 'member', 'metric', 'device', 'Europe/Lisbon', '5.00', '2024-12-28 17:38:51.127038+00', null, null),
('4', '2bfpufef64xt7kx6khkd', 'Oskar Lindvall', 'oskar lindvall', null, 'member', 'metric', 'device', 'Europe/Stockholm', '5.00', '2024-03-23 17:38:51.127038+00', null, null),
('5', 'lfp3plj6euim7lhuakuw', 'Pia Thornbury', 'pia thornbury', null, 'member', 'imperial', 'device', 'Europe/London', '5.00', '2025-10-14 17:38:51.127038+00', null, null),
('6', 'sjboi5hshvdsm4ul6z3f', 'Desmond Okell', 'desmond okell', null, 'member', 'us', 'device', 'America/Chicago', '5.00', '2025-06-16 17:38:51.127038+00', null, null)
on conflict (id) do nothing;

insert into one_time_links (id, token_hash, member_id, created_at, expires_at, used_at) overriding system value values
('1', '\xb1b1bdb480c61d075300d9bff7d9cb69cf31695ea048e478facadf426e8d0fb0', '1', '2026-10-01 10:00:00+00', '2026-10-01 11:00:00+00', null)
on conflict (id) do nothing;

insert into sessions (id, token_hash, member_id, created_at, seen_at, ended_at) overriding system value values
('1', '\x3f3af1ecebbd1410ab417ec0d27bbfcb5d340e177ae159b59fc8626c2dfd9175', '1', '2026-10-01 10:00:00+00', '2026-10-02 10:00:00+00', null)
on conflict (id) do nothing;

insert into sign_in_tries (subject, failures, last_at, blocked_until, succeeded_at) overriding system value values
('\xa9491f4c1bf7b0cffbadcba2db8f028e4b3f2867cb59e1f3a0bc1968f3c51242', '2', '2026-10-01 10:00:00+00', '2026-10-01 10:00:00+00', null)
on conflict (subject) do nothing;
