-- What members think of a recipe, and the sums by which lists rank.

create table recipe_ratings (
    recipe_id bigint not null constraint recipe_ratings_recipe_fkey references recipes (id) on delete cascade,
    member_id bigint not null constraint recipe_ratings_member_fkey references members (id),
    -- Which revision they speak of.
    revision_number integer not null,
    stars smallint not null constraint recipe_ratings_stars_range check (stars between 1 and 5),
    -- How they know it.
    basis text not null constraint recipe_ratings_basis_known check (basis in ('made', 'tasted', 'read')),
    rated_at timestamptz not null,
    constraint recipe_ratings_pkey primary key (recipe_id, member_id),
    constraint recipe_ratings_revision_fkey foreign key (recipe_id, revision_number)
        references revisions (recipe_id, number)
);
create index recipe_ratings_of_member on recipe_ratings (member_id);
select grant_to_app('recipe_ratings', 'select, insert, update, delete');

-- Written in the transaction of each rating. The mean is null while nobody has rated.
alter table recipes
    add column rating_count integer not null default 0
        constraint recipes_rating_count_range check (rating_count >= 0),
    add column rating_mean double precision
        constraint recipes_rating_mean_range check (rating_mean between 1 and 5),
    add column made_count integer not null default 0
        constraint recipes_made_count_range check (made_count >= 0);
