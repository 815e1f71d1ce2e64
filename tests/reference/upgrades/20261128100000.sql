-- Rows for what 20261128100000_second_step.sql makes, as they were then.

insert into code_apps (member_id, secret, last_step, set_up_at) overriding system value values
('4', '\x7d99fc8835f142dc895ba8f725adc853a8d4827a', '0', '2026-11-28 17:38:51.603309+00')
on conflict (member_id) do nothing;

insert into code_apps_begun (member_id, secret, expires_at) overriding system value values
('1', '\xa172cedcae47474b615c54d510a5d84a8dea3032', '2026-10-01 10:10:00+00')
on conflict (member_id) do nothing;

insert into half_sign_ins (token_hash, member_id, expires_at) overriding system value values
('\xa11ae06469c63740d7b0ecf802f282a0d46e94f31a654dfcd3c0dc6dc277f904', '1', '2026-10-01 10:10:00+00')
on conflict (token_hash) do nothing;

insert into passkey_ceremonies (token_hash, member_id, state, expires_at) overriding system value values
('\x0b3a7b8b9dcb165c4bb95dd576ab9619efbe1dfbf3a1e39757e8f8211e74d14a', '1', '{}', '2026-10-01 10:10:00+00')
on conflict (token_hash) do nothing;

insert into passkeys (id, public_id, member_id, credential_id, credential, host, name, made_at, used_at) overriding system value values
('1', 'aaaabbbbccccdddd2233', '1', '\x2c70e12b7a0646f92279f427c7b38e7334d8e5389cff167a1dc30e73f826b683', '{"cred": {}}', 'mead.example', 'the phone', '2026-10-01 10:10:00+00', null)
on conflict (id) do nothing;

insert into recovery_codes (member_id, number, hash, used_at) overriding system value values
('1', '3', 'a hash', null)
on conflict (member_id, number) do nothing;

insert into second_steps_taken (member_id, taken_by, by_keeper, taken_at, told_at) overriding system value values
('2', '1', 'true', '2026-10-01 10:10:00+00', null)
on conflict (member_id) do nothing;
