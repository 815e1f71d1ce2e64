//! What the member thinks of others' recipes.

use super::Elsewhere;

pub const RATINGS: Elsewhere = Elsewhere {
    name: "ratings",
    words: ("rating", "ratings"),
    columns: &[
        ("recipe", "/recipe/title"),
        ("by", "/recipe/by"),
        ("revision", "/revision"),
        ("stars (1 to 5)", "/stars"),
        ("how one knows", "/basis"),
        ("when", "/rated_at"),
    ],
    // The title only while the recipe is shared with its rater.
    query: "select jsonb_build_object('id', r.public_id,
            'recipe', jsonb_build_object('id', r.public_id, 'by', m.name,
                'title', case when recipe_visible(r, $1) then r.title end),
            'revision', o.revision_number, 'stars', o.stars, 'basis', o.basis, 'rated_at', o.rated_at)
        from recipe_ratings o join recipes r on r.id = o.recipe_id join members m on m.id = r.owner_id
        where o.member_id = $1 order by o.rated_at, r.public_id",
};
