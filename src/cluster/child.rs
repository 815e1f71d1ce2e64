//! The project's only unsafe lines: signals, waiting, accounts, and what must happen between fork and exec.
#![expect(
    unsafe_code,
    reason = "prctl, kill, waitid, geteuid, getpwnam_r, getpwuid_r, statvfs and atexit have no safe form in std"
)]

use std::ffi::{CStr, CString, c_char, c_int};
use std::mem::MaybeUninit;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::process::CommandExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::ptr;

use super::account::Account;

/// How a server is asked to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Ending {
    /// Close all connections, write a checkpoint, end.
    Fast,
    /// End at once; the next start recovers.
    Immediate,
    /// No questions asked.
    Kill,
}

/// A command for one of PostgreSQL's programs: under `account`, out of the terminal's process group, told to
/// shut down when the thread that spawns it ends.
pub(super) fn command(program: &Path, account: Option<&Account>) -> Command {
    let mut command = Command::new(program);
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("PG") {
            command.env_remove(name);
        }
    }
    // English messages, whatever the terminal speaks; the cluster's own locale is given to initdb.
    command
        .env("LC_ALL", "C")
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .process_group(0);
    if let Some(account) = account {
        // Setting a uid as root also drops the supplementary groups (std does).
        command.uid(account.uid).gid(account.gid);
    }
    follow_parent(&mut command);
    command
}

/// Linux: the child gets SIGINT (a clean shutdown) when its parent thread ends, however it ends.
#[cfg(target_os = "linux")]
fn follow_parent(command: &mut Command) {
    let parent = std::process::id();
    // SAFETY: only async-signal-safe calls between fork and exec. Hooks run after setuid, which clears the setting.
    unsafe {
        command.pre_exec(move || {
            if libc::prctl(libc::PR_SET_PDEATHSIG, libc::SIGINT) != 0 {
                return Err(std::io::Error::last_os_error());
            }
            if libc::getppid().cast_unsigned() != parent {
                return Err(std::io::Error::from_raw_os_error(libc::ESRCH));
            }
            Ok(())
        });
    }
}

#[cfg(not(target_os = "linux"))]
fn follow_parent(_command: &mut Command) {}

/// Sends the signal of `ending`; false when there is no such process.
pub(super) fn end(pid: u32, ending: Ending) -> bool {
    let signal = match ending {
        Ending::Fast => libc::SIGINT,
        Ending::Immediate => libc::SIGQUIT,
        Ending::Kill => libc::SIGKILL,
    };
    match libc::pid_t::try_from(pid) {
        // SAFETY: kill has no memory effects; positive ids name one process, never a group.
        Ok(pid) if pid > 1 => unsafe { libc::kill(pid, signal) == 0 },
        _ => false,
    }
}

/// Blocks until the child has ended and leaves it unreaped, so that its id cannot go to another process while
/// someone may still signal it.
pub(super) fn wait_unreaped(pid: u32) {
    loop {
        let mut info = MaybeUninit::<libc::siginfo_t>::zeroed();
        // SAFETY: `info` is valid for writes for the whole call.
        let result = unsafe {
            libc::waitid(
                libc::P_PID,
                pid as libc::id_t,
                info.as_mut_ptr(),
                libc::WEXITED | libc::WNOWAIT,
            )
        };
        if result == 0 || std::io::Error::last_os_error().kind() != std::io::ErrorKind::Interrupted
        {
            return;
        }
    }
}

/// The effective user id.
pub(super) fn effective_uid() -> u32 {
    // SAFETY: always succeeds, touches no memory.
    unsafe { libc::geteuid() }
}

/// The account of that name, from the system's list.
pub(super) fn account_named(name: &str) -> Option<Account> {
    let name = CString::new(name).ok()?;
    look_up(|entry, buffer, size, found| {
        // SAFETY: all pointers come from `look_up` and live through the call.
        unsafe { libc::getpwnam_r(name.as_ptr(), entry, buffer, size, found) }
    })
}

/// The account with that user id, from the system's list.
pub(super) fn account_of(uid: u32) -> Option<Account> {
    look_up(|entry, buffer, size, found| {
        // SAFETY: all pointers come from `look_up` and live through the call.
        unsafe { libc::getpwuid_r(uid, entry, buffer, size, found) }
    })
}

fn look_up(
    ask: impl Fn(*mut libc::passwd, *mut c_char, usize, *mut *mut libc::passwd) -> c_int,
) -> Option<Account> {
    let mut buffer: Vec<c_char> = vec![0; 4096];
    loop {
        let mut entry = MaybeUninit::<libc::passwd>::zeroed();
        let mut found = ptr::null_mut();
        let code = ask(
            entry.as_mut_ptr(),
            buffer.as_mut_ptr(),
            buffer.len(),
            &raw mut found,
        );
        if code == libc::ERANGE && buffer.len() < 1 << 20 {
            buffer.resize(buffer.len() * 4, 0);
            continue;
        }
        if code != 0 || found.is_null() {
            return None;
        }
        // SAFETY: success: `found` points to `entry`, filled, its strings in `buffer`, both still alive.
        let (name, uid, gid) = unsafe {
            (
                CStr::from_ptr((*found).pw_name),
                (*found).pw_uid,
                (*found).pw_gid,
            )
        };
        return Some(Account {
            name: name.to_string_lossy().into_owned(),
            uid,
            gid,
        });
    }
}

/// Has `handler` called when the process leaves through `exit` or the end of `main`.
pub(super) fn at_exit(handler: extern "C" fn()) {
    // SAFETY: a plain function without captured state; it must not panic.
    unsafe {
        libc::atexit(handler);
    }
}

/// Bytes that are free for us on the disk of `dir`, and all of them; `None` when it does not tell.
pub(super) fn disk(dir: &Path) -> Option<(u64, u64)> {
    let path = CString::new(dir.as_os_str().as_bytes()).ok()?;
    let mut facts = MaybeUninit::<libc::statvfs>::zeroed();
    // SAFETY: the path ends with a zero, and the structure is ours and large enough.
    let told = unsafe { libc::statvfs(path.as_ptr(), facts.as_mut_ptr()) };
    if told != 0 {
        return None;
    }
    // SAFETY: statvfs has filled it.
    let facts = unsafe { facts.assume_init() };
    // The widths of these differ between systems.
    let wide = |number: libc::fsblkcnt_t| u64::try_from(i128::from(number)).unwrap_or_default();
    let (free, whole) = (wide(facts.f_bavail), wide(facts.f_blocks));
    let block = u64::try_from(i128::from(facts.f_frsize)).unwrap_or_default();
    Some((free.saturating_mul(block), whole.saturating_mul(block)))
}
