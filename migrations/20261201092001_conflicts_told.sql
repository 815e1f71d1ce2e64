-- Who must not judge whom is said by the judge, or told by an organiser; a pair may be both, and each takes back their own alone.

alter table competition_conflicts
    add column said boolean not null default true,
    add column told boolean not null default false,
    add constraint competition_conflicts_by_somebody check (said or told);
