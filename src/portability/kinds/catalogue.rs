//! What the member wrote into the club's catalogue.

use super::Elsewhere;

pub const ENTRIES: Elsewhere = Elsewhere {
    name: "catalogue_entries",
    words: ("change of the catalogue", "changes of the catalogue"),
    columns: &[
        ("entry", "/key"),
        ("sort", "/sort"),
        ("name", "/document/name"),
        ("revision", "/number"),
        ("what was done", "/deed"),
        ("when", "/created_at"),
    ],
    query: "select jsonb_build_object('id', e.key || '.' || v.number, 'key', e.key, 'sort', e.sort, 'number', v.number,
            'deed', v.deed, 'restored_from', v.restored_from, 'document', v.document, 'created_at', v.created_at)
        from catalogue_entry_revisions v join catalogue_entries e on e.id = v.entry_id
        where v.author_id = $1 order by v.id",
};
