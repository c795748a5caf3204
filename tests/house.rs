//! The house: rooms in one order, imports only leftwards and through the face.

use std::path::{Path, PathBuf};

const ORDER: [&str; 15] = [
    "units", "diag", "safety", "codes", "repair", "machine", "tree", "reason", "draw", "walk", "job",
    "practice", "author", "tui", "cli",
];

fn files_under(dir: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(dir).expect("a room is a folder") {
        let path = entry.expect("readable entry").path();
        if path.is_dir() {
            files_under(&path, found);
        } else if path.extension().is_some_and(|e| e == "rs") {
            found.push(path);
        }
    }
}

/// Every `crate::room::…` in the text, with what follows the room's name.
fn imports(text: &str) -> Vec<(String, String)> {
    text.match_indices("crate::")
        .map(|(at, lead)| {
            let rest = &text[at + lead.len()..];
            let room: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            let after = rest[room.len()..].trim_start_matches("::");
            let next: String = after.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            (room, next)
        })
        .collect()
}

#[test]
fn rooms_import_only_leftwards() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut wrong = Vec::new();
    for (place, room) in ORDER.iter().enumerate() {
        let mut files = Vec::new();
        files_under(&src.join(room), &mut files);
        for file in files {
            let text = std::fs::read_to_string(&file).expect("source is UTF-8");
            for (used, _) in imports(&text) {
                let Some(at) = ORDER.iter().position(|r| *r == used) else { continue };
                if at > place {
                    wrong.push(format!("{} uses {used}", file.display()));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "imports against the order:\n{}", wrong.join("\n"));
}

/// True if the face itself exports an item of this name, though a private module is called so too.
fn exports(face: &str, name: &str) -> bool {
    face.split("pub use ").skip(1).any(|rest| {
        let list = rest.split(';').next().unwrap_or_default();
        let items = list.rsplit("::").next().unwrap_or(list);
        items.split(|c: char| !c.is_alphanumeric() && c != '_').any(|word| word == name)
    })
}

#[test]
fn rooms_are_entered_through_the_face() {
    let src = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut wrong = Vec::new();
    for room in ORDER {
        let mut files = Vec::new();
        files_under(&src.join(room), &mut files);
        for file in files {
            let text = std::fs::read_to_string(&file).expect("source is UTF-8");
            for (used, next) in imports(&text) {
                let inner = src.join(&used).join(format!("{next}.rs"));
                let folder = src.join(&used).join(&next);
                let is_private = !next.is_empty() && (inner.exists() || folder.is_dir());
                if used != room && ORDER.contains(&used.as_str()) && is_private {
                    let face = std::fs::read_to_string(src.join(&used).join("mod.rs")).expect("a face");
                    if !exports(&face, &next) {
                        wrong.push(format!("{} reaches into {used}::{next}", file.display()));
                    }
                }
            }
        }
    }
    assert!(wrong.is_empty(), "past the face:\n{}", wrong.join("\n"));
}

#[test]
fn the_library_names_every_room_in_order() {
    let lib = include_str!("../src/lib.rs");
    let named: Vec<&str> =
        lib.lines().filter_map(|l| l.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    assert_eq!(named, ORDER);
}
