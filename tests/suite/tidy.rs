//! The rules of the house that no compiler checks: which layer may use which, no clock or disk in
//! the domain, a head in each file, lengths, and documents that name what is there.

use cowlside::tui::{keymap, profile_keys};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Lists the Rust files below a folder with their paths from the project's root.
pub fn rust_files(below: &str) -> Vec<(String, String)> {
    let mut files = Vec::new();
    let mut folders = vec![root().join(below)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let name = path.strip_prefix(root()).unwrap().to_string_lossy().replace('\\', "/");
                files.push((name, fs::read_to_string(&path).unwrap()));
            }
        }
    }
    files.sort();
    assert!(!files.is_empty(), "no file below {below}");
    files
}

/// The part of a file that is shipped: all before its own tests, without comments.
fn shipped(text: &str) -> String {
    let before_tests = text.split("#[cfg(test)]").next().unwrap_or("");
    let code = before_tests.lines().filter(|line| !line.trim_start().starts_with("//"));
    code.collect::<Vec<_>>().join("\n")
}

/// A rule: files below `place` must not hold any of `words`, except the files named.
struct Wall {
    place: &'static str,
    words: &'static [&'static str],
    except: &'static [&'static str],
    because: &'static str,
}

const WALLS: &[Wall] = &[
    Wall {
        place: "src/domain",
        words: &["crate::store", "crate::guide", "crate::report", "crate::tui", "crate::cli"],
        except: &[],
        because: "the domain knows no other layer",
    },
    Wall {
        place: "src/domain",
        words: &[
            "std::fs",
            "std::io",
            "std::env",
            "std::time",
            "std::net",
            "std::process",
            "std::thread",
        ],
        except: &[],
        because: "the domain has no disk, clock or environment",
    },
    Wall {
        place: "src/domain",
        words: &["serde", "ratatui", "crossterm", "clap"],
        except: &[],
        because: "the domain is the trade and nothing else",
    },
    Wall {
        place: "src/domain",
        words: &["chrono"],
        except: &["src/domain/service.rs"],
        because: "only the day of a service needs a calendar",
    },
    Wall {
        place: "src/guide",
        words: &[
            "crate::store",
            "crate::tui",
            "crate::cli",
            "std::fs",
            "std::io",
            "serde",
            "ratatui",
        ],
        except: &[],
        because: "the guide turns the domain into words",
    },
    Wall {
        place: "src/report",
        words: &["crate::store", "crate::tui", "crate::cli", "std::fs", "std::io", "ratatui"],
        except: &[],
        because: "reports are pure",
    },
    Wall {
        place: "src/store",
        words: &[
            "crate::guide",
            "crate::report",
            "crate::tui",
            "crate::cli",
            "ratatui",
            "crossterm",
        ],
        except: &[],
        because: "store and screens never meet",
    },
    Wall {
        place: "src/tui",
        words: &["crate::store", "crate::cli", "serde", "std::fs"],
        except: &[],
        because: "store and screens never meet",
    },
    Wall {
        place: "src",
        words: &["uom::", "extern crate uom"],
        except: &["src/domain/units", "src/lib.rs"],
        because: "one file names uom",
    },
    Wall {
        place: "src",
        words: &["Utc::now", "Local::now", "SystemTime::now"],
        except: &["src/main.rs"],
        because: "time comes in as an argument",
    },
    Wall {
        place: "src",
        words: &["set_symbol(", "set_char("],
        except: &["src/tui/widgets/digits.rs", "src/tui/widgets/text.rs"],
        because: "these let control characters through; the exceptions put fixed ones or plain ASCII",
    },
    Wall {
        place: "src",
        words: &[".display()"],
        except: &[],
        because: "a path is foreign text: `store::shown` makes it safe",
    },
];

#[test]
fn every_wall_between_the_layers_stands() {
    let mut broken = Vec::new();
    for wall in WALLS {
        for (name, text) in rust_files(wall.place) {
            if wall.except.iter().any(|except| name.starts_with(except)) {
                continue;
            }
            let code = shipped(&text);
            for word in wall.words.iter().filter(|word| code.contains(**word)) {
                broken.push(format!("{name} has `{word}`: {}", wall.because));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn a_broken_wall_would_be_seen() {
    let bad = "use crate::store::Journal;\n#[cfg(test)]\nmod tests { use std::fs; }";
    assert!(shipped(bad).contains("crate::store"));
    assert!(!shipped(bad).contains("std::fs"), "a file's own tests may read files");
    assert!(!shipped("// std::fs is not used here").contains("std::fs"));
}

#[test]
fn every_file_opens_with_what_it_is_for_and_stays_short() {
    let mut wrong = Vec::new();
    for (name, text) in rust_files("src").into_iter().chain(rust_files("tests")) {
        if !text.starts_with("//!") {
            wrong.push(format!("{name} does not open with a //! head"));
        }
        let lines = text.lines().count();
        if lines > 500 {
            wrong.push(format!("{name} has {lines} lines, over 500"));
        }
        let unfinished = ["TO", "DO"].concat();
        if text.contains(&unfinished) {
            wrong.push(format!("{name} holds unfinished work"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn crossterm_is_named_in_few_files() {
    let allowed = ["mod.rs", "keymap.rs", "profile_keys.rs", "terminal.rs", "input.rs"]
        .map(|file| format!("src/tui/{file}"));
    for (name, text) in rust_files("src") {
        let named = shipped(&text).contains("crossterm");
        assert!(!named || allowed.contains(&name), "{name} names crossterm");
    }
}

#[test]
fn every_folder_of_the_map_and_every_path_in_the_documents_exists() {
    let developers = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    assert!(developers.lines().count() <= 150, "DEVELOPERS.md is to stay short");
    for folder in fs::read_dir(root().join("src")).unwrap() {
        let path = folder.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let named = name == "lib.rs" || developers.contains(&format!("src/{name}"));
        assert!(named, "DEVELOPERS.md does not name src/{name}");
    }
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    for text in [developers, readme] {
        for word in text.split('`').skip(1).step_by(2) {
            let is_path = ["src/", "tests/", "profiles/", "snapshots/"]
                .iter()
                .any(|start| word.starts_with(start));
            if is_path && !word.contains(['*', '<', ' ']) {
                assert!(root().join(word).exists(), "`{word}` is named but not there");
            }
        }
    }
}

#[test]
fn the_screens_in_readme_are_those_that_are_kept() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let mut met = 0;
    for part in readme.split("<!-- screen: ").skip(1) {
        let (name, rest) = part.split_once(" -->\n```text\n").unwrap();
        let kept = root().join(format!("snapshots/{name}.snap"));
        let kept = fs::read_to_string(kept).unwrap();
        let rows = kept.lines().filter_map(|line| line.strip_prefix('|')?.strip_suffix('|'));
        let screen = rows.map(str::trim_end).collect::<Vec<_>>().join("\n");
        let shown = rest.split("\n```").next().unwrap();
        assert_eq!(shown, screen.trim_end(), "put the kept screen {name} into README");
        met += 1;
    }
    assert!(met >= 3, "{met} screens");
}

#[test]
fn the_profile_in_readme_is_sound() {
    let readme = fs::read_to_string(root().join("README.md")).unwrap();
    let shown = readme.split("```json\n").nth(1).unwrap().split("```").next().unwrap();
    cowlside::store::profile_file::parse_profile(shown, "README.md").unwrap();
}

#[test]
fn no_test_file_is_forgotten() {
    let main = fs::read_to_string(root().join("tests/suite/main.rs")).unwrap();
    for entry in fs::read_dir(root().join("tests/suite")).unwrap() {
        let path: PathBuf = entry.unwrap().path();
        let is_module = path.extension().is_some_and(|ending| ending == "rs") || path.is_dir();
        let stem = path.file_stem().unwrap().to_string_lossy().into_owned();
        let is_main = Path::new("main") == Path::new(&stem);
        if is_module && !is_main {
            assert!(main.contains(&format!("mod {stem};")), "tests/suite/{stem} is in no test");
        }
    }
}

#[test]
fn the_number_of_crates_stays_small() {
    let lock = fs::read_to_string(root().join("Cargo.lock")).unwrap();
    let crates = lock.lines().filter(|line| *line == "[[package]]").count();
    // 13 of them come with the browser's parser that the tests read the printed record with, 2 with
    // the reader of tables.
    assert!(crates > 50, "the lock file was not read");
    assert!(crates <= 210, "{crates} crates: say in the manifest why each is worth it");
}

#[test]
fn the_readme_tells_every_key_as_the_table_has_it() {
    told_in_the_readme("<!-- keys -->\n", &keymap::table_text());
    told_in_the_readme("<!-- keys of the form -->\n", &profile_keys::table_text());
}

fn told_in_the_readme(mark: &str, table: &str) {
    let readme = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = std::fs::read_to_string(readme).unwrap_or_default();
    let told = readme.split_once(mark).is_some_and(|(_, after)| after.starts_with(table));
    assert!(told, "README.md lacks this, or has another:\n\n{mark}{table}");
}
