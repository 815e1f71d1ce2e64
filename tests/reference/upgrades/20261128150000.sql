-- Rows for what 20261128150000_recipe_facets.sql makes, as they were then.

insert into recipe_facets (recipe_id, public_id, owner_id, listed, listed_since, binned, updated_at, score, name_key, abv_percent, cost_per_bottle, words) overriding system value values
('16', '2d3snrx4ykdagy6rqay6', '2', 'false', null, 'false', '2026-11-19 17:38:51.127038+00', '3000', 'pear in hiding', '9.000000000000007', null, '''a=hiding'' ''a=in'' ''a=pear'' ''b=acacia'' ''b=apple'' ''b=dry'' ''b=fenwick'' ''b=hiding'' ''b=honey'' ''b=in'' ''b=juice'' ''b=melomel'' ''b=pear'' ''b=standard'' ''b=tobias'' ''b=wine'' ''b=yeast'' ''c=acacia'' ''c=apple'' ''c=dry'' ''c=fenwick'' ''c=hiding'' ''c=honey'' ''c=in'' ''c=juice'' ''c=melomel'' ''c=pear'' ''c=standard'' ''c=tobias'' ''c=wine'' ''c=yeast'' ''f=melomel'' ''g=little'' ''k=honey-acacia'' ''k=pear-juice'' ''k=yeast-apple-wine'' ''p=9'' ''s=standard'' ''t=dry'' ''y=12'' ''y=4'' ''y=6'' ''y=9'''),
('20', '7klee3qdr4zx7kj6kzz2', '5', 'true', '2026-10-09 17:38:51.127038+00', 'false', '2026-10-09 17:38:51.127038+00', '3000', 'bitter leaf', '9.000000000000002', null, '''a=bitter'' ''a=leaf'' ''b=abbey'' ''b=ale'' ''b=bitter'' ''b=dry'' ''b=forest'' ''b=gesho'' ''b=honey'' ''b=honeydew'' ''b=leaf'' ''b=or'' ''b=pia'' ''b=standard'' ''b=sticks'' ''b=tej'' ''b=thornbury'' ''b=type'' ''b=yeast'' ''c=abbey'' ''c=ale'' ''c=bitter'' ''c=dry'' ''c=forest'' ''c=gesho'' ''c=honey'' ''c=honeydew'' ''c=leaf'' ''c=or'' ''c=pia'' ''c=standard'' ''c=sticks'' ''c=tej'' ''c=thornbury'' ''c=type'' ''c=yeast'' ''f=tej'' ''g=little'' ''k=honey-forest'' ''k=yeast-abbey-type'' ''p=9'' ''s=standard'' ''t=dry'' ''y=12'' ''y=4'' ''y=6'' ''y=9''')
on conflict (recipe_id) do nothing;

insert into recipe_words (word, near, checked_at) overriding system value values
('ale', '{ale}', '2026-11-28 17:40:02.761743+00'),
('and', '{and}', '2026-11-28 17:40:02.761743+00')
on conflict (word) do nothing;
