//! What the member said about recipes, with everything they said before.

use super::Elsewhere;

pub const COMMENTS: Elsewhere = Elsewhere {
    name: "comments",
    words: ("comment", "comments"),
    columns: &[
        ("recipe", "/recipe/title"),
        ("by", "/recipe/by"),
        ("revision", "/revision"),
        ("written", "/written_at"),
        ("removed", "/removed_at"),
        ("words", "/newest"),
    ],
    query: "select jsonb_build_object('id', c.public_id,
            'recipe', jsonb_build_object('id', r.public_id, 'by', m.name,
                'title', case when recipe_visible(r, $1) then r.title end),
            'revision', c.revision_number, 'written_at', c.written_at, 'removed_at', c.removed_at,
            'newest', (select w.words from recipe_comment_words w where w.comment_id = c.id and w.number = c.version),
            'words', (select jsonb_agg(jsonb_build_object('number', w.number, 'words', w.words,
                    'written_at', w.written_at) order by w.number)
                from recipe_comment_words w where w.comment_id = c.id))
        from recipe_comments c join recipes r on r.id = c.recipe_id join members m on m.id = r.owner_id
        where c.writer_id = $1 order by c.id",
};
