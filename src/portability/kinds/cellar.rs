//! What the member ferments and measures in and with, what they lend, and what they borrowed.

use super::{Elsewhere, Own};

pub const VESSELS: Own = Own {
    name: "vessels",
    words: ("vessel", "vessels"),
    columns: &[
        ("name", "/name"),
        ("kind", "/kind"),
        ("made of", "/made_of"),
        ("to the brim (L)", "/brim_l"),
        ("how many", "/how_many"),
        ("left free (part)", "/headspace_fraction"),
        ("stays behind (L)", "/loss_l"),
        ("notes", "/notes"),
        ("out of use since", "/retired_at"),
    ],
    lines: "",
    of_batch: false,
    query: "select jsonb_build_object('id', public_id, 'name', name, 'kind', kind, 'made_of', made_of, 'brim_l', brim_l,
            'wide_mouth', wide_mouth, 'headspace_fraction', headspace_fraction, 'loss_l', loss_l, 'how_many', how_many,
            'notes', notes, 'typed', typed, 'retired_at', retired_at, 'created_at', created_at)
        from vessels where owner_id = $1 order by created_at, id",
    // Two in use are never called the same.
    puts: &["insert into vessels (public_id, owner_id, name, kind, made_of, brim_l, wide_mouth, headspace_fraction, loss_l,
            how_many, notes, typed, retired_at, created_at)
        select $3, $2, case when v.retired_at is null and exists (select from vessels o
                where o.owner_id = $2 and o.retired_at is null and lower(o.name) = lower(v.name))
                then left(v.name, 60) || ' (imported)' else v.name end,
            v.kind, v.made_of, v.brim_l, v.wide_mouth, v.headspace_fraction, v.loss_l, v.how_many, v.notes, v.typed,
            v.retired_at, v.created_at
        from jsonb_to_record($1) as v(name text, kind text, made_of text, brim_l double precision, wide_mouth boolean,
            headspace_fraction double precision, loss_l double precision, how_many integer, notes text, typed jsonb,
            retired_at timestamptz, created_at timestamptz)"],
};

pub const INSTRUMENTS: Own = Own {
    name: "instruments",
    words: ("instrument", "instruments"),
    columns: &[
        ("name", "/name"),
        ("kind", "/kind"),
        ("in water (SG)", "/in_water_sg"),
        ("marked for (°C)", "/marked_for_c"),
        ("step", "/step"),
        ("most (g)", "/most_g"),
        ("in ice (°C)", "/in_ice_c"),
        ("calibrated", "/calibrated_on"),
        ("notes", "/notes"),
    ],
    lines: "",
    of_batch: false,
    query: "select jsonb_build_object('id', public_id, 'name', name, 'kind', kind, 'in_water_sg', in_water_sg,
            'marked_for_c', marked_for_c, 'step', step, 'most_g', most_g, 'in_ice_c', in_ice_c,
            'calibrated_on', calibrated_on, 'notes', notes, 'typed', typed, 'retired_at', retired_at,
            'created_at', created_at)
        from instruments where owner_id = $1 order by created_at, id",
    puts: &["insert into instruments (public_id, owner_id, name, kind, in_water_sg, marked_for_c, step, most_g, in_ice_c,
            calibrated_on, notes, typed, retired_at, created_at)
        select $3, $2, v.*
        from jsonb_to_record($1) as v(name text, kind text, in_water_sg double precision, marked_for_c double precision,
            step double precision, most_g double precision, in_ice_c double precision, calibrated_on date, notes text,
            typed jsonb, retired_at timestamptz, created_at timestamptz)"],
};

pub const LENT: Own = Own {
    name: "things_to_lend",
    words: ("thing to lend", "things to lend"),
    columns: &[
        ("what", "/name"),
        ("where", "/place"),
        ("condition", "/condition"),
        ("since", "/created_at"),
    ],
    lines: "",
    of_batch: false,
    query: "select jsonb_build_object('id', public_id, 'name', name, 'place', place, 'condition', condition,
            'withdrawn_at', withdrawn_at, 'created_at', created_at)
        from club_equipment where owner_id = $1 order by created_at, id",
    puts: &["insert into club_equipment (public_id, owner_id, name, place, condition, withdrawn_at, created_at)
        select $3, $2, v.*
        from jsonb_to_record($1) as v(name text, place text, condition text, withdrawn_at timestamptz,
            created_at timestamptz)"],
};

pub const LOANS: Elsewhere = Elsewhere {
    name: "loans",
    words: ("loan", "loans"),
    columns: &[
        ("what", "/thing"),
        ("asked", "/asked_at"),
        ("until", "/until"),
        ("lent", "/lent_at"),
        ("ended", "/ended_at"),
        ("how", "/ending"),
    ],
    query: "select jsonb_build_object('id', l.public_id, 'thing', e.name, 'asked_at', l.asked_at, 'until', l.until_day,
            'remark', l.remark, 'lent_at', l.lent_at, 'ended_at', l.ended_at, 'ending', l.ending,
            'came_back', l.came_back)
        from loans l join club_equipment e on e.id = l.equipment_id
        where l.member_id = $1 order by l.asked_at, l.id",
};
