-- Rows for what 20261126090000_invites.sql makes, as they were then.

insert into invite_links (token_hash, invite_id, created_at) overriding system value values
('\x5014f9af3a684fdd64a775c1c4c532ee66b1b96cb56b1d02170d2249b6764f75', '1', '2026-10-01 10:00:00+00')
on conflict (token_hash) do nothing;

insert into invites (id, public_id, role, note, uses_allowed, uses, made_by, created_at, expires_at, revoked_at) overriding system value values
('1', 'aaaabbbbccccdddd6666', 'member', 'For the neighbours', '5', '1', '1', '2026-10-01 10:00:00+00', '2026-10-08 10:00:00+00', null)
on conflict (id) do nothing;
