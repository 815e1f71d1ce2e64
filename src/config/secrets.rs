//! Secrets that stand in files: NAME_FILE names the file that holds NAME.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use super::{BadSetting, SETTINGS, bad};

/// Where container engines lay secrets: nobody but the container sees them there, whatever their mode.
const SHUT_IN: &str = "/run/secrets";
/// Everybody but the owner.
const OTHERS: u32 = 0o077;

/// Puts what stands in files under the names that the files are for; gives those that others than their owner can
/// open.
pub(super) fn read_files(
    values: &mut BTreeMap<String, String>,
) -> Result<Vec<BadSetting>, BadSetting> {
    let mut exposed = Vec::new();
    for setting in SETTINGS.iter().filter(|setting| setting.secret) {
        let file_name = format!("{}_FILE", setting.name);
        let Some(path) = values.remove(&file_name) else {
            continue;
        };
        if values.contains_key(setting.name) {
            return Err(bad(
                &file_name,
                format!("{} is set as well; set one of the two", setting.name),
            ));
        }
        let cannot = |cause| bad(&file_name, format!("cannot read {path}: {cause}"));
        let text = fs::read_to_string(&path).map_err(cannot)?;
        let mode = fs::metadata(&path).map_err(cannot)?.permissions().mode();
        if mode & OTHERS != 0 && !Path::new(&path).starts_with(SHUT_IN) {
            let reason = format!("others can open {path}: run chmod 600 {path}");
            exposed.push(bad(&file_name, reason));
        }
        values.insert(
            setting.name.to_owned(),
            text.trim_end_matches(['\r', '\n']).to_owned(),
        );
    }
    Ok(exposed)
}
