//! The unpacker as a module of its own, for `public/unpack.js`.
//!
//! It has no imports. The page asks for room, writes the pack there, has it unpacked
//! and reads the outcome; then it lets go of the whole module, so that nothing here
//! is ever given back.
#![expect(unsafe_code, reason = "a module without a library hands out memory by itself")]

use alloc::vec::Vec;
use core::{
    alloc::{GlobalAlloc, Layout},
    arch::wasm32,
    panic::PanicInfo,
    ptr, slice,
    sync::atomic::{AtomicUsize, Ordering},
};

/// The size of a page of WebAssembly memory, in bytes.
const PAGE: usize = 65_536;

/// Hands out fresh memory, and never takes any back.
struct Fresh {
    /// The end of what was handed out; 0 before the first time.
    end: AtomicUsize,
}

#[global_allocator]
static FRESH: Fresh = Fresh { end: AtomicUsize::new(0) };

// SAFETY: every block lies behind all earlier ones, in memory that was grown for it.
unsafe impl GlobalAlloc for Fresh {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        let have = wasm32::memory_size(0) * PAGE;
        let end = match self.end.load(Ordering::Relaxed) {
            0 => have,
            end => end,
        };
        let start = end.next_multiple_of(layout.align());
        let Some(end) = start.checked_add(layout.size()) else { return ptr::null_mut() };
        if end > have && wasm32::memory_grow(0, (end - have).div_ceil(PAGE)) == usize::MAX {
            return ptr::null_mut();
        }
        self.end.store(end, Ordering::Relaxed);
        start as *mut u8
    }

    unsafe fn dealloc(&self, _: *mut u8, _: Layout) {}

    // Grown memory is zero already: not writing it saves a good deal of time.
    unsafe fn alloc_zeroed(&self, layout: Layout) -> *mut u8 {
        // SAFETY: as for the caller.
        unsafe { self.alloc(layout) }
    }
}

#[panic_handler]
fn panic(_: &PanicInfo<'_>) -> ! {
    wasm32::unreachable()
}

/// Gives room for a pack of `length` bytes: its address.
#[unsafe(no_mangle)]
pub extern "C" fn room(length: usize) -> *mut u8 {
    Vec::leak(alloc::vec![0; length]).as_mut_ptr()
}

/// Unpacks the pack of `length` bytes at `pack`. Gives the address of two numbers (four
/// bytes each): the length of the outcome and its address; or 0 for a bad pack.
///
/// # Safety
/// `pack` must come from [`room`], for that length.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn unpack(pack: *const u8, length: usize) -> *const u32 {
    // SAFETY: the room was given for this length and is never taken back.
    let packed = unsafe { slice::from_raw_parts(pack, length) };
    match crate::unpack(packed) {
        Ok(bytes) => {
            let bytes = bytes.leak();
            let outcome = [bytes.len() as u32, bytes.as_ptr() as u32];
            Vec::leak(Vec::from(outcome)).as_ptr()
        }
        Err(_) => ptr::null(),
    }
}
