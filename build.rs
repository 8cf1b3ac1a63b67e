//! Links a release for a fixed place in memory, where the system's linker can: there the loader has no
//! address to put right at a start, which is a tenth of its time (DEVELOPERS.md, "Start, keys and their
//! speed"). Its libraries, heap and stack still lie where nobody can tell, and it is safe Rust throughout.

use std::env::var;

fn main() {
    println!("cargo:rerun-if-changed=build.rs");
    let is = |name: &str, value: &str| var(name).is_ok_and(|found| found == value);
    let system = is("CARGO_CFG_TARGET_OS", "linux") && is("CARGO_CFG_TARGET_ENV", "gnu");
    if system && is("PROFILE", "release") {
        println!("cargo:rustc-link-arg-bins=-no-pie");
    }
}
