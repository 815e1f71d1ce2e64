//! What sensors told besides the last of each hour: long, and so packed as lines of text, a text for each sensor of a batch.
//!
//! A line is an entry: its number, when it was measured and when it came in seconds since 1970, gravity and temperature of the
//! must as far as told; commas between. The key that its sensor gave it is left behind: it names a token of this club.

use std::collections::BTreeSet;

use chrono::DateTime;
use serde_json::Value;

use super::text;
use crate::engine::json::Json;
use crate::engine::log::ranges::range_of;
use crate::engine::log::read::deed;

/// The key under which a batch has them.
pub const KEY: &str = "minutes";

/// The most of a member that an export holds: they come in within the time that a page may take. Of more, none is in it, for then
/// the last of each hour says what there is to say; the page of each batch gives its whole log.
pub const MOST: i64 = 100_000;

/// How many readings of sensors a member has in all.
pub const COUNT: &str = "select to_jsonb(coalesce(sum(h.readings), 0))
    from batch_sensor_hours h join batches b on b.id = h.batch_id where b.owner_id = $1";

/// As a list of the batch `b`: `instrument` and `lines`.
pub const READ: &str = "(select coalesce(jsonb_agg(jsonb_build_object('instrument', t.instrument, 'lines', t.lines)
            order by t.instrument), '[]')
        from (select i.instrument, string_agg(concat_ws(',', i.entry, trim_scale(extract(epoch from i.at)),
                trim_scale(extract(epoch from i.recorded_at)), coalesce(i.sg, ''), coalesce(i.must_c, '')), E'\n'
                order by i.entry) as lines
            from batch_sensor_minutes i where i.batch_id = b.id group by i.instrument) t)";

/// Puts them into the batch that was just put.
pub const PUT: &str = "insert into batch_entries (batch_id, entry, version, kind, at, recorded_at, by_id, data, came_from)
    select b.id, c[1]::integer, 1, 'reading', to_timestamp(c[2]::double precision), to_timestamp(c[3]::double precision), $2,
        jsonb_strip_nulls(jsonb_build_object('sg', nullif(c[4], '')::numeric,
            'must_temperature_c', nullif(c[5], '')::numeric, 'instrument', s.instrument)), 'sensor'
    from batches b, jsonb_to_recordset($1->'minutes') as s(instrument text, lines text),
        string_to_table(s.lines, E'\\n') as line, string_to_array(line, ',') as c
    where b.public_id = $3 and b.owner_id = $2";

/// Whether all of them can be read, and none has a number that another entry has.
pub fn are_sound(sensors: &[Value], mut taken: BTreeSet<i64>) -> bool {
    sensors.iter().all(|sensor| {
        is_named(sensor)
            && text(sensor, "/lines")
                .split('\n')
                .all(|line| entry(line).is_some_and(|entry| taken.insert(entry)))
    })
}

/// Whether a log can have readings by something of this name.
fn is_named(sensor: &Value) -> bool {
    let mut reading = serde_json::json!({"sg": 1.0});
    match sensor.get("instrument") {
        None | Some(Value::Null) => {}
        Some(name) => reading["instrument"] = name.clone(),
    }
    Json::parse(&reading.to_string()).is_ok_and(|data| deed("reading", &data).is_ok())
}

/// The number of the entry of a line, if all of it can be read.
fn entry(line: &str) -> Option<i64> {
    let [entry, at, came, sg, must_c] = line.split(',').collect::<Vec<&str>>()[..] else {
        return None;
    };
    let values = [("sg", sg), ("must_temperature_c", must_c)];
    let told = values.iter().filter(|(_, text)| !text.is_empty());
    let sound = told.clone().count() > 0
        && told.clone().all(|(key, text)| is_within(key, text))
        && is_moment(at)
        && is_moment(came);
    let entry = entry.parse::<i32>().ok().filter(|entry| *entry >= 1)?;
    sound.then_some(i64::from(entry))
}

/// Plain digits alone: what else a number may be written as is not what an export writes.
fn number(text: &str) -> Option<f64> {
    let plain = |c: char| c.is_ascii_digit() || c == '.' || c == '-' || c == 'e';
    let short = text.len() <= 40 && text.chars().all(plain);
    text.parse::<f64>().ok().filter(|_| short)
}

fn is_within(key: &str, text: &str) -> bool {
    let range = range_of(key);
    number(text).is_some_and(|value| range.is_some_and(|range| range.holds(value)))
}

fn is_moment(text: &str) -> bool {
    let moment = number(text).and_then(|seconds| DateTime::from_timestamp(seconds as i64, 0));
    moment.is_some_and(|moment| (1970..9000).contains(&chrono::Datelike::year(&moment)))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn sensor(lines: &str) -> Vec<Value> {
        vec![json!({"instrument": "The float", "lines": lines})]
    }

    #[test]
    fn what_an_export_writes_is_read() {
        let lines = "7,1764324000,1764324000.123456,1.0581,20.5\n8,1764324060,1764324061,1.058,\n9,1764324120,1764324121,,20";
        assert!(are_sound(&sensor(lines), BTreeSet::from([1, 2])));
        assert!(are_sound(&[], BTreeSet::new()));
    }

    #[test]
    fn what_no_export_writes_is_not() {
        for line in [
            "",
            "7",
            "7,1764324000,1764324000,1.05",
            "7,1764324000,1764324000,1.05,20,1",
            "0,1764324000,1764324000,1.05,20",
            "x,1764324000,1764324000,1.05,20",
            "99999999999,1764324000,1764324000,1.05,20",
            "7,soon,1764324000,1.05,20",
            "7,1764324000,1e300,1.05,20",
            "7,-1,1764324000,1.05,20",
            "7,1764324000,1764324000,,",
            "7,1764324000,1764324000,2,20",
            "7,1764324000,1764324000,NaN,20",
            "7,1764324000,1764324000,1.05,inf",
            "7,1764324000,1764324000, 1.05,20",
            "2,1764324000,1764324000,1.05,20",
        ] {
            assert!(!are_sound(&sensor(line), BTreeSet::from([1, 2])), "{line}");
        }
        let twice = "7,1764324000,1764324000,1.05,20\n7,1764324060,1764324060,1.05,20";
        assert!(!are_sound(&sensor(twice), BTreeSet::new()));
        let odd = [json!({"instrument": 5, "lines": "7,1764324000,1764324000,1.05,20"})];
        assert!(!are_sound(&odd, BTreeSet::new()));
        assert!(!are_sound(&[json!({"instrument": "x"})], BTreeSet::new()));
    }
}
