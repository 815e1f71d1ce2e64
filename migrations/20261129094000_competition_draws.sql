-- The public number of the draw as it became known. Noted anew where it was mistyped: the last row counts, and the others stay.

create table competition_draws (
    id bigint generated always as identity primary key,
    competition_id bigint not null constraint competition_draws_competition_fkey references competitions (id),
    number integer not null constraint competition_draws_number_range check (number >= 1),
    drawn text not null constraint competition_draws_drawn_length check (char_length(drawn) between 1 and 200),
    at timestamptz not null,
    constraint competition_draws_number_key unique (competition_id, number)
);
create trigger competition_draws_stay before update or delete on competition_draws
    for each row execute function refuse_change();
create trigger competition_draws_stay_all before truncate on competition_draws
    for each statement execute function refuse_change();
select grant_to_app('competition_draws', 'select, insert');
