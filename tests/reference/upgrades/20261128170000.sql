-- Rows for what 20261128170000_member_tokens.sql makes, as they were then.

insert into member_tokens (id, public_id, token_hash, member_id, name, opens, created_at, expires_at, last_used_at, ended_at, minute_began_at, minute_uses) overriding system value values
('1', 'aaaabbbbccccdddd7777', '\x3c469e9d6c5875d37a43f353d4f88e61fcf812c66eee3457465a40b0da4153e0', '1', 'a spreadsheet', 'read', '2026-10-01 10:00:00+00', '2027-10-01 10:00:00+00', null, null, '2026-10-01 10:00:00+00', '0')
on conflict (id) do nothing;
