-- When a member's last visit before this one ended, as far as their sessions tell: what is newer is new to them.

alter table members add column away_since timestamptz;
