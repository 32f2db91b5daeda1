//! Mounts the app. Everything else lives in the library (see `lib.rs`).

#[cfg(target_arch = "wasm32")]
fn main() {
    if benchtide::device::scan::in_page() {
        benchtide::ui::mount();
    } else {
        benchtide::device::scan::serve();
    }
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    eprintln!("Benchtide runs in a browser: start it with ./dev run");
    std::process::exit(2);
}
