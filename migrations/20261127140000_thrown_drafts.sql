-- A draft that its maker threw away can be put back for a day.

alter table recipe_drafts add column thrown_at timestamptz;
