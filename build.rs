//! Links the program for a fixed place in memory where it starts sooner for it.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    let target = |name: &str| std::env::var(name).unwrap_or_default();
    // Some 8,000 addresses in tables of words would be worked out at each start.
    if target("CARGO_CFG_TARGET_OS") == "linux" && target("CARGO_CFG_TARGET_ENV") == "gnu" {
        println!("cargo::rustc-link-arg-bin=cowlside=-no-pie");
    }
}
