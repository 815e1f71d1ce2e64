-- Rows for what 20261129091001_competition_desk.sql makes, as they were then.

insert into competition_seals (entry_id, seal) overriding system value values
('1', '\x03374726375b02965ecd21de3a2dddb494deda870afbe2cf1994c15ccb2586df'),
('10', '\x0742aaa7f8b3989827226553412657d397aa0123619b3e87fca417b7ac4b67b7')
on conflict (entry_id) do nothing;
