-- Rows for what 20261201096001_mail.sql makes, as they were then.

insert into member_mail (member_id, address, confirmed_at, confirm_hash, confirm_until, reminders, stop_token) overriding system value values
('1', 'maren@mead.example', '2026-11-02 10:00:00+00', null, null, 'true', 'aaaabbbbccccddddeeeeffffgggghhhhiiiijjjjkkkkllll2233')
on conflict (member_id) do nothing;
