//! The functions that a browser calls. It writes a file's name and bytes, or a question, where
//! [`ovalpeg_room`] says, and reads the answer where [`ovalpeg_answer`] says. There is no unsafe block: this
//! module writes only to its own vectors, and the browser may write to the module's memory.

use std::sync::{Mutex, MutexGuard, PoisonError};

use crate::{Files, answer};

static INPUT: Mutex<Vec<u8>> = Mutex::new(Vec::new());
static FILES: Mutex<Files> = Mutex::new(Files::new());
static ANSWER: Mutex<String> = Mutex::new(String::new());

fn locked<T>(of: &Mutex<T>) -> MutexGuard<'_, T> {
    of.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes room for `bytes` bytes, and returns where. The next call of [`ovalpeg_keep`] or [`ovalpeg_ask`]
/// takes them.
#[expect(unsafe_code, reason = "found by its name; no other function of the module is called so")]
#[unsafe(no_mangle)]
pub extern "C" fn ovalpeg_room(bytes: usize) -> *mut u8 {
    let mut input = locked(&INPUT);
    input.clear();
    input.resize(bytes, 0);
    input.as_mut_ptr()
}

/// Keeps a file: the first `name_bytes` of the bytes that were written are its name. False where there are
/// too few.
#[expect(unsafe_code, reason = "found by its name; no other function of the module is called so")]
#[unsafe(no_mangle)]
pub extern "C" fn ovalpeg_keep(name_bytes: usize) -> bool {
    let input = std::mem::take(&mut *locked(&INPUT));
    let Some((name, bytes)) = input.split_at_checked(name_bytes) else { return false };
    locked(&FILES).insert(String::from_utf8_lossy(name).into_owned(), bytes.to_vec());
    true
}

/// Answers the question that was written. Returns true for an answer, false for an error message.
#[expect(unsafe_code, reason = "found by its name; no other function of the module is called so")]
#[unsafe(no_mangle)]
pub extern "C" fn ovalpeg_ask() -> bool {
    let question = std::mem::take(&mut *locked(&INPUT));
    let found = answer(&locked(&FILES), &String::from_utf8_lossy(&question));
    let good = found.is_ok();
    *locked(&ANSWER) = found.unwrap_or_else(|why| why);
    good
}

/// Where the answer is in memory.
#[expect(unsafe_code, reason = "found by its name; no other function of the module is called so")]
#[unsafe(no_mangle)]
pub extern "C" fn ovalpeg_answer() -> *const u8 {
    locked(&ANSWER).as_ptr()
}

/// How many bytes the answer has.
#[expect(unsafe_code, reason = "found by its name; no other function of the module is called so")]
#[unsafe(no_mangle)]
pub extern "C" fn ovalpeg_answer_bytes() -> usize {
    locked(&ANSWER).len()
}
