-- Kegs lie in the cellar too. What is drawn from one is told in litres: a keg is a lot of as many units of ten millilitres as went
-- into it (`size_ml` is 10), and what is taken counts in the same unit.
alter table cellar_lots add column keg boolean not null default false;
