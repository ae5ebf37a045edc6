//! A folder with a book in it, and the program run there.

use std::path::PathBuf;

use assert_cmd::Command;
use serde_json::Value;

pub struct Shop {
    pub folder: tempfile::TempDir,
}

pub struct Ran {
    pub code: i32,
    pub out: String,
    pub err: String,
}

impl Shop {
    /// An empty folder.
    pub fn empty() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    /// The demo book.
    pub fn demo() -> Self {
        let shop = Self::empty();
        shop.done(&["demo", "--at", "book.db"]);
        shop
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        let output = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("LC_ALL", "C.UTF-8")
            .env("PROOFMARK_BOOK", self.path("book.db"))
            .env("PROOFMARK_BY", "Ann Lee")
            .current_dir(self.folder.path())
            .args(arguments)
            .output()
            .unwrap();
        Ran {
            code: output.status.code().unwrap(),
            out: String::from_utf8(output.stdout).unwrap(),
            err: String::from_utf8(output.stderr).unwrap(),
        }
    }

    pub fn done(&self, arguments: &[&str]) -> Ran {
        let ran = self.run(arguments);
        assert_eq!(ran.code, 0, "{arguments:?}: {}{}", ran.out, ran.err);
        ran
    }

    pub fn json(&self, arguments: &[&str]) -> Value {
        let ran = self.run(&[arguments, &["--json"]].concat());
        serde_json::from_str(&ran.out)
            .unwrap_or_else(|error| panic!("{arguments:?}: {error}: {}{}", ran.out, ran.err))
    }

    pub fn write(&self, name: &str, text: impl AsRef<[u8]>) -> PathBuf {
        std::fs::write(self.path(name), text).unwrap();
        self.path(name)
    }

    pub fn read(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap()
    }

    /// The number of the last entry of a kind about a casing.
    pub fn last(&self, casing: &str, kind: &str) -> String {
        let page = self.json(&["show", casing]);
        let entry =
            page["ledger"].as_array().unwrap().iter().rev().find(|it| it["kind"] == kind).unwrap().clone();
        entry["number"].to_string()
    }
}

/// A trace of the repository's.
pub fn trace_file(name: &str) -> String {
    format!("{}/tests/traces/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// The smallest picture there is: one red pixel, as PNG.
pub fn pixel() -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, 1, 1);
    encoder.set_color(png::ColorType::Rgb);
    encoder.write_header().unwrap().write_image_data(&[200, 30, 30]).unwrap();
    bytes
}
