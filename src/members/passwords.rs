//! Hashing of passwords: two threads, a short queue, buffers that are given back after a while of rest.

use std::collections::VecDeque;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

use argon2::password_hash::phc::{Output, ParamsString, PasswordHash, Salt};
use argon2::{Algorithm, Argon2, Block, Params, Version};
use tokio::sync::oneshot;

use crate::web::Error;

/// Memory of one hash in KiB, its passes and its lanes: the least that current guidance for argon2id names.
const MEMORY_KIB: u32 = 19 * 1024;
const PASSES: u32 = 2;
const LANES: u32 = 1;
/// Stored hashes asking for more than this are not computed.
const MOST_MEMORY_KIB: u32 = 64 * 1024;

const THREADS: usize = 2;
const QUEUE: usize = 16;
const REST: Duration = Duration::from_secs(30);

/// Hashes passwords. Cheap to clone; the threads end with the last clone.
#[derive(Clone)]
pub struct Hasher(Arc<Owner>);

struct Owner(Arc<Shared>);

struct Shared {
    state: Mutex<State>,
    wake: Condvar,
    params: Params,
}

#[derive(Default)]
struct State {
    queue: VecDeque<Task>,
    closed: bool,
    done: u64,
}

enum Task {
    Hash {
        password: String,
        answer: oneshot::Sender<Result<String, argon2::Error>>,
    },
    Check {
        password: String,
        stored: Option<String>,
        answer: oneshot::Sender<Checked>,
    },
}

/// What a stored hash says of a password.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Checked {
    /// It is another one, or there is no such member; the work done is the same.
    Wrong,
    /// It is the one.
    Right,
    /// It is the one, and here is a stronger hash to be stored in place of the old.
    RightButWeak(String),
}

impl Drop for Owner {
    fn drop(&mut self) {
        lock(&self.0).closed = true;
        self.0.wake.notify_all();
    }
}

fn lock(shared: &Shared) -> std::sync::MutexGuard<'_, State> {
    shared.state.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Hasher {
    /// Starts the threads.
    pub fn start() -> Result<Hasher, std::io::Error> {
        Hasher::with(MEMORY_KIB, PASSES)
    }

    /// Hashes with other figures, so that a test can make an older, weaker hash.
    pub fn with(memory_kib: u32, passes: u32) -> Result<Hasher, std::io::Error> {
        let params = Params::new(memory_kib, passes, LANES, None).map_err(std::io::Error::other)?;
        let shared = Arc::new(Shared {
            state: Mutex::default(),
            wake: Condvar::new(),
            params,
        });
        for number in 0..THREADS {
            let shared = Arc::clone(&shared);
            std::thread::Builder::new()
                .name(format!("passwords-{number}"))
                .spawn(move || work(&shared))?;
        }
        Ok(Hasher(Arc::new(Owner(shared))))
    }

    /// The string to store for a password.
    pub async fn hash(&self, password: &str) -> Result<String, Error> {
        let (answer, hashed) = oneshot::channel();
        self.enqueue(Task::Hash {
            password: password.to_owned(),
            answer,
        })?;
        hashed
            .await
            .map_err(Error::unexpected)?
            .map_err(Error::unexpected)
    }

    /// Whether a password is the one of a stored hash. Without a stored hash the same work is done for nothing, so
    /// that an unknown name takes as long as a known one.
    pub async fn check(&self, password: &str, stored: Option<&str>) -> Result<Checked, Error> {
        let (answer, checked) = oneshot::channel();
        self.enqueue(Task::Check {
            password: password.to_owned(),
            stored: stored.map(str::to_owned),
            answer,
        })?;
        checked.await.map_err(Error::unexpected)
    }

    /// How many hashes have been computed: the measure of equal work.
    pub fn done(&self) -> u64 {
        lock(&self.0.0).done
    }

    /// How many hashes wait for a thread.
    pub fn waiting(&self) -> usize {
        lock(&self.0.0).queue.len()
    }

    fn enqueue(&self, task: Task) -> Result<(), Error> {
        let mut state = lock(&self.0.0);
        if state.queue.len() >= QUEUE {
            return Err(Error::busy(2));
        }
        state.queue.push_back(task);
        drop(state);
        self.0.0.wake.notify_one();
        Ok(())
    }
}

/// What the threads yield to everything else on the machine: whoever signs in waits a little longer, and nobody else waits
/// for them.
#[cfg(target_os = "linux")]
const NICE: i32 = 10;

/// Lets this thread work when nothing else has to. Elsewhere than on Linux that would be the whole process.
fn yield_to_others() {
    #[cfg(target_os = "linux")]
    if let Err(fault) = rustix::process::setpriority_process(None, NICE) {
        tracing::debug!(%fault, "passwords are hashed as fast as everything else is done");
    }
}

/// One thread: takes tasks, keeps its buffer while there is work, gives it back after a rest.
fn work(shared: &Shared) {
    yield_to_others();
    let mut buffer: Vec<Block> = Vec::new();
    while let Some(task) = next(shared, &mut buffer) {
        match task {
            Task::Hash { password, answer } => {
                let hashed = hash(&password, &shared.params, &mut buffer);
                lock(shared).done += 1;
                let _ = answer.send(hashed.map(|hash| hash.to_string()));
            }
            Task::Check {
                password,
                stored,
                answer,
            } => {
                let checked = check(shared, &password, stored.as_deref(), &mut buffer);
                let _ = answer.send(checked);
            }
        }
    }
}

fn next(shared: &Shared, buffer: &mut Vec<Block>) -> Option<Task> {
    let mut state = lock(shared);
    loop {
        if let Some(task) = state.queue.pop_front() {
            return Some(task);
        }
        if state.closed {
            return None;
        }
        if buffer.is_empty() {
            state = shared
                .wake
                .wait(state)
                .unwrap_or_else(PoisonError::into_inner);
        } else {
            let (woken, rest) = shared
                .wake
                .wait_timeout(state, REST)
                .unwrap_or_else(PoisonError::into_inner);
            state = woken;
            if rest.timed_out() && state.queue.is_empty() {
                *buffer = Vec::new();
            }
        }
    }
}

fn hash(
    password: &str,
    params: &Params,
    buffer: &mut Vec<Block>,
) -> Result<PasswordHash, argon2::Error> {
    let mut salt = [0u8; 16];
    getrandom::fill(&mut salt).map_err(|_| argon2::Error::SaltTooShort)?;
    let output = output(password, &salt, params, buffer)?;
    Ok(PasswordHash {
        algorithm: Algorithm::Argon2id.ident(),
        version: Some(Version::V0x13.into()),
        params: ParamsString::try_from(params).map_err(|_| argon2::Error::MemoryTooMuch)?,
        salt: Some(Salt::new(&salt).map_err(|_| argon2::Error::SaltTooShort)?),
        hash: Some(output),
    })
}

fn output(
    password: &str,
    salt: &[u8],
    params: &Params,
    buffer: &mut Vec<Block>,
) -> Result<Output, argon2::Error> {
    let blocks = params.block_count();
    if buffer.len() < blocks {
        buffer.resize(blocks, Block::new());
    }
    let mut out = [0u8; 32];
    let argon2 = Argon2::new(Algorithm::Argon2id, Version::V0x13, params.clone());
    argon2.hash_password_into_with_memory(
        password.as_bytes(),
        salt,
        &mut out,
        &mut buffer[..blocks],
    )?;
    Output::new(&out).map_err(|_| argon2::Error::OutputTooShort)
}

fn check(
    shared: &Shared,
    password: &str,
    stored: Option<&str>,
    buffer: &mut Vec<Block>,
) -> Checked {
    let known = stored
        .and_then(|text| PasswordHash::new(text).ok())
        .and_then(read);
    let (params, salt, wanted) = match known {
        Some((params, salt, wanted)) => (params, salt, Some(wanted)),
        None => (shared.params.clone(), vec![0; 16], None),
    };
    let found = output(password, &salt, &params, buffer);
    lock(shared).done += 1;
    match (found, wanted) {
        (Ok(found), Some(wanted)) if found == wanted => {
            let weak = params.m_cost() < shared.params.m_cost()
                || params.t_cost() < shared.params.t_cost();
            let stronger = weak
                .then(|| hash(password, &shared.params, buffer).ok())
                .flatten();
            stronger.map_or(Checked::Right, |hash| {
                Checked::RightButWeak(hash.to_string())
            })
        }
        _ => Checked::Wrong,
    }
}

/// The figures, salt and output of a stored hash, if it is one that we compute.
fn read(stored: PasswordHash) -> Option<(Params, Vec<u8>, Output)> {
    let params = Params::try_from(&stored).ok()?;
    let is_ours =
        stored.algorithm == Algorithm::Argon2id.ident() && params.m_cost() <= MOST_MEMORY_KIB;
    let (salt, output) = (stored.salt?, stored.hash?);
    is_ours.then(|| (params, salt.to_vec(), output))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run<T>(work: impl Future<Output = T>) -> T {
        tokio::runtime::Builder::new_current_thread()
            .build()
            .unwrap()
            .block_on(work)
    }

    /// The nice values of this process's threads that hash, as Linux tells them.
    #[cfg(target_os = "linux")]
    fn nice_values() -> Vec<i32> {
        let threads = std::fs::read_dir("/proc/self/task").unwrap();
        let stat = |thread: std::fs::DirEntry| std::fs::read_to_string(thread.path().join("stat"));
        threads
            .filter_map(|thread| stat(thread.ok()?).ok())
            .filter(|stat| stat.contains("(passwords-"))
            .map(|stat| {
                // The nineteenth field, of which the second ends with the last bracket.
                let after = stat.rsplit(") ").next().unwrap();
                after.split(' ').nth(16).unwrap().parse().unwrap()
            })
            .collect()
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn whoever_does_something_else_goes_first() {
        run(async {
            let hasher = Hasher::with(64, 1).unwrap();
            hasher.hash("sixty-four bees in a jar").await.unwrap();
            // Whichever thread hashed it; the other one may not have begun.
            let values = nice_values();
            assert!(values.contains(&NICE), "{values:?}");
        });
    }

    #[test]
    fn a_hash_knows_its_password_only() {
        run(async {
            let hasher = Hasher::start().unwrap();
            let stored = hasher.hash("sixty-four bees in a jar").await.unwrap();
            assert!(
                stored.starts_with("$argon2id$v=19$m=19456,t=2,p=1$"),
                "{stored}"
            );
            assert_eq!(
                hasher
                    .check("sixty-four bees in a jar", Some(&stored))
                    .await
                    .unwrap(),
                Checked::Right
            );
            assert_eq!(
                hasher
                    .check("sixty-four bees in a jar ", Some(&stored))
                    .await
                    .unwrap(),
                Checked::Wrong
            );
            assert_ne!(
                hasher.hash("sixty-four bees in a jar").await.unwrap(),
                stored
            );
        });
    }

    #[test]
    fn nothing_is_cut_off() {
        run(async {
            let hasher = Hasher::with(64, 1).unwrap();
            let long = "x".repeat(72);
            let stored = hasher.hash(&format!("{long}a")).await.unwrap();
            assert_eq!(
                hasher
                    .check(&format!("{long}b"), Some(&stored))
                    .await
                    .unwrap(),
                Checked::Wrong
            );
        });
    }

    #[test]
    fn weak_hashes_are_renewed() {
        run(async {
            let weak = Hasher::with(64, 1)
                .unwrap()
                .hash("an old password here")
                .await
                .unwrap();
            let hasher = Hasher::with(128, 2).unwrap();
            let Checked::RightButWeak(renewed) = hasher
                .check("an old password here", Some(&weak))
                .await
                .unwrap()
            else {
                panic!("not renewed");
            };
            assert!(renewed.contains("m=128,t=2"), "{renewed}");
            assert_eq!(
                hasher
                    .check("an old password here", Some(&renewed))
                    .await
                    .unwrap(),
                Checked::Right
            );
        });
    }

    #[test]
    fn an_unknown_member_costs_one_hash_too() {
        run(async {
            let hasher = Hasher::with(64, 1).unwrap();
            let stored = hasher.hash("whatever it may be").await.unwrap();
            let before = hasher.done();
            hasher.check("a guess", Some(&stored)).await.unwrap();
            let known = hasher.done() - before;
            hasher.check("a guess", None).await.unwrap();
            assert_eq!(hasher.done() - before - known, known);
            assert_eq!(
                hasher.check("a guess", Some("no hash")).await.unwrap(),
                Checked::Wrong
            );
        });
    }
}
