-- Who must not judge whom is said by either of the two, or told by an organiser. Each takes back their own alone, and reads nothing
-- of what the other said.

alter table competition_conflicts
    -- Of what was said before this nobody knows by whom.
    add column said_by_one boolean not null default true,
    add column said_by_other boolean not null default true,
    add column told boolean not null default false,
    add constraint competition_conflicts_by_somebody check (said_by_one or said_by_other or told);
