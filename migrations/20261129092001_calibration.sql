-- The mead with which a day of judging opens: no entry, known to everybody, tasted so that judges hear how others point.

create table competition_calibrations (
    competition_id bigint primary key constraint competition_calibrations_competition_fkey references competitions (id) on delete cascade,
    mead text not null constraint competition_calibrations_mead_length check (char_length(mead) between 1 and 120),
    -- What there is to notice, shown once one has given points.
    notice text not null default '' constraint competition_calibrations_notice_length check (char_length(notice) <= 2000),
    version integer not null default 1 constraint competition_calibrations_version_range check (version >= 1)
);

-- What each judge gave it, by section of the sheet; given once.
create table competition_calibration_points (
    competition_id bigint not null constraint competition_calibration_points_competition_fkey
        references competition_calibrations (competition_id) on delete cascade,
    member_id bigint not null constraint competition_calibration_points_member_fkey references members (id),
    points jsonb not null constraint competition_calibration_points_object check (jsonb_typeof(points) = 'object')
        constraint competition_calibration_points_size check (octet_length(points::text) <= 4000),
    at timestamptz not null,
    primary key (competition_id, member_id)
);
create index competition_calibration_points_of_member on competition_calibration_points (member_id);

select grant_to_app('competition_calibrations', 'select, insert, update, delete');
select grant_to_app('competition_calibration_points', 'select, insert, delete');
