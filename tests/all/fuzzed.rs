//! The targets of `tests/fuzz` on their seeds, so that they compile and hold on every run; libFuzzer goes on from there.

use std::fs;
use std::path::Path;

#[path = "../fuzz/checks/calendars.rs"]
mod calendars;
#[path = "../fuzz/checks/formatted.rs"]
mod formatted;
#[path = "../fuzz/checks/numbers.rs"]
mod numbers;
#[path = "../fuzz/checks/recipes.rs"]
mod recipes;
#[path = "../fuzz/checks/tables.rs"]
mod tables;

/// What a target does with bytes.
type Check = fn(&[u8]);

#[test]
fn each_target_holds_of_its_seeds_and_of_what_was_found() {
    let targets: [(&str, Check); 5] = [
        ("calendars", calendars::check),
        ("formatted", formatted::check),
        ("numbers", numbers::check),
        ("recipes", recipes::check),
        ("tables", tables::check),
    ];
    let seeds = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/seeds");
    for (target, check) in targets {
        let folder = fs::read_dir(seeds.join(target)).expect("seeds");
        let mut tried = 0;
        for seed in folder {
            let path = seed.expect("a seed").path();
            println!("{}", path.display());
            let bytes = fs::read(&path).expect("bytes");
            check(&bytes);
            // What begins or ends elsewhere is another input.
            for cut in 0..bytes.len().min(300) {
                check(&bytes[cut..]);
                check(&bytes[..cut]);
            }
            tried += 1;
        }
        assert!(tried >= 5, "{target}: {tried}");
    }
}
