//! Links a release for a fixed place in memory, where the system's linker can: there the loader has no
//! address to put right at every start (DEVELOPERS.md, "Start, keys and their speed"). The program loses its
//! own random address for that; its libraries, heap and stack keep theirs, and it is safe Rust throughout.

use std::env::var;

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let is = |name: &str, value: &str| var(name).is_ok_and(|found| found == value);
    let system = is("CARGO_CFG_TARGET_OS", "linux") && is("CARGO_CFG_TARGET_ENV", "gnu");
    // One that takes its libraries in is linked in a way of its own.
    let whole = var("CARGO_CFG_TARGET_FEATURE")
        .is_ok_and(|all| all.split(',').any(|one| one == "crt-static"));
    if system && !whole && is("PROFILE", "release") {
        println!("cargo:rustc-link-arg-bins=-no-pie");
    }
}
