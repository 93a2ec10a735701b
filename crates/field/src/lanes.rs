//! One body, three machine levels.
//!
//! [`dispatch`] runs a closure under the widest vector instructions the machine has; [`lanes!`] writes
//! a function that does so. The bits are the same at every level as long as the body neither fuses
//! (`mul_add`) nor reorders sums, which rustc never does by itself.

use std::sync::atomic::{AtomicU8, Ordering};

/// Vector instructions a body is compiled for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
#[repr(u8)]
pub enum Level {
    /// What every machine of the target has (x86-64: SSE2).
    Baseline = 1,
    /// AVX2, 8 lanes of f32.
    Avx2 = 2,
    /// AVX-512 F, DQ, BW and VL, 16 lanes of f32.
    Avx512 = 3,
}

impl Level {
    /// All levels, narrowest first.
    pub const ALL: [Level; 3] = [Level::Baseline, Level::Avx2, Level::Avx512];
}

/// 0 until first asked.
static LEVEL: AtomicU8 = AtomicU8::new(0);

/// The level in force: the widest of the machine, unless [`force_level`] lowered it.
#[inline]
pub fn level() -> Level {
    match LEVEL.load(Ordering::Relaxed) {
        1 => Level::Baseline,
        2 => Level::Avx2,
        3 => Level::Avx512,
        _ => force_level(Level::Avx512),
    }
}

/// Sets the level for the whole process, no wider than the machine allows; gives the level now in
/// force. Results do not depend on it, only speed does: for tests and measurements.
pub fn force_level(wanted: Level) -> Level {
    let set = wanted.min(machine());
    LEVEL.store(set as u8, Ordering::Relaxed);
    set
}

#[cfg(target_arch = "x86_64")]
fn machine() -> Level {
    let avx2 = std::is_x86_feature_detected!("avx2");
    let avx512 = std::is_x86_feature_detected!("avx512f")
        && std::is_x86_feature_detected!("avx512dq")
        && std::is_x86_feature_detected!("avx512bw")
        && std::is_x86_feature_detected!("avx512vl");
    match (avx2, avx512) {
        (true, true) => Level::Avx512,
        (true, false) => Level::Avx2,
        _ => Level::Baseline,
    }
}

#[cfg(not(target_arch = "x86_64"))]
fn machine() -> Level {
    Level::Baseline
}

/// Runs `body` at the level in force. Everything the body calls must be inlined into it to profit.
#[inline(always)]
pub fn dispatch<R>(body: impl FnOnce() -> R) -> R {
    #[cfg(target_arch = "x86_64")]
    match level() {
        // SAFETY: `force_level` is the only writer of LEVEL and never stores more than `machine`
        // detected, so the processor has every feature the callee is compiled for.
        #[allow(unsafe_code)]
        Level::Avx512 => return unsafe { avx512(body) },
        // SAFETY: as above.
        #[allow(unsafe_code)]
        Level::Avx2 => return unsafe { avx2(body) },
        Level::Baseline => {}
    }
    body()
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2")]
fn avx2<R>(body: impl FnOnce() -> R) -> R {
    body()
}

#[cfg(target_arch = "x86_64")]
#[target_feature(enable = "avx2,avx512f,avx512dq,avx512bw,avx512vl")]
fn avx512<R>(body: impl FnOnce() -> R) -> R {
    body()
}

/// Writes functions whose body is compiled once per [`Level`] and chosen at run time.
///
/// Arguments are plain names (no patterns), without generics; lifetimes may be elided.
#[macro_export]
macro_rules! lanes {
    ($($(#[$meta:meta])* $vis:vis fn $name:ident($($arg:ident: $ty:ty),* $(,)?) $(-> $ret:ty)? $body:block)+) => {$(
        $(#[$meta])*
        $vis fn $name($($arg: $ty),*) $(-> $ret)? {
            #[inline(always)]
            #[allow(clippy::too_many_arguments)]
            fn body($($arg: $ty),*) $(-> $ret)? $body
            $crate::dispatch(#[inline(always)] move || body($($arg),*))
        }
    )+};
}
