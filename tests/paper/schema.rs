//! The described JSON is the JSON.
//!
//! After a change of any `--json`, write the table anew and read the difference:
//! `PROOFMARK_UPDATE_SCHEMA=1 cargo test --test paper schema`.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use proofmark::report::schema;
use serde_json::Value;

use super::common::{Shop, pixel, trace_file};

type Keys = BTreeMap<String, BTreeSet<&'static str>>;

fn walk(value: &Value, path: &str, keys: &mut Keys) {
    let kind = match value {
        Value::Null => "null",
        Value::Bool(_) => "boolean",
        Value::Number(number) if number.is_f64() => "number",
        Value::Number(_) => "integer",
        Value::String(_) => "string",
        Value::Array(_) => "array",
        Value::Object(_) => "object",
    };
    if !path.is_empty() {
        keys.entry(path.to_owned()).or_default().insert(kind);
    }
    // The sealed record of an entry and the numbers of a calculator have keys of their own.
    if path.ends_with("details") || path == "results" || path == "inputs" {
        return;
    }
    match value {
        Value::Object(map) => {
            // Keyed by table or file: a map, not a record.
            if matches!(path, "tables" | "files") {
                return;
            }
            for (key, inner) in map {
                let inner_path = if path.is_empty() { key.clone() } else { format!("{path}.{key}") };
                walk(inner, &inner_path, keys);
            }
        }
        Value::Array(items) => items.iter().for_each(|item| walk(item, &format!("{path}[]"), keys)),
        _ => {}
    }
}

const LOAD: &str = r#"
grain = { count = 4, outside_diameter = "43 mm", core = "16 mm", length = "75 mm", inhibited_ends = 0 }
propellant = { density = "1680 kg/m3", characteristic_velocity = "1370 m/s", burn_rate = "7.0 mm/s at 5 MPa", exponent = 0.36, ratio_of_heats = 1.2 }
nozzle = { throat = "10.72 mm", area_ratio = 6, half_angle = "12 deg", efficiency = 0.95 }
scatter = { burn_rate = 0.03, burning_area = 0.015 }
"#;

const BARE: &str = r#"
serial = "MF-10"
tube = { material = "6061-T6", form = "drawn tube", od = "2.000 in", wall = "0.065 in" }
forward = { kind = "threaded cap", pitch_diameter = "48 mm", engagement = "12 mm", relief_diameter = "48.5 mm" }
aft = { kind = "retaining ring", groove_depth = "0.5 mm", ring_thickness = "1.5 mm", edge = "6 mm" }
service = { meop = "725 psi" }
"#;

fn observed() -> BTreeMap<&'static str, Keys> {
    let shop = Shop::demo();
    shop.write("load.toml", LOAD);
    shop.write("spot.png", pixel());
    shop.done(&["log", "trace", "--casing", "MF-41-06", "--file", &trace_file("stand_a.csv")]);
    shop.done(&["log", "photo", "--casing", "MF-41-06", "--path", "spot.png", "--caption", "the mark"]);
    shop.done(&["log", "note", "--casing", "MF-41-06", "--text", "a slip", "--second", "Bo Ray"]);
    let note = shop.last("MF-41-06", "note");
    shop.done(&["log", "strike", "--entry", &note, "--reason", "wrong casing"]);
    shop.done(&[
        "log",
        "rule",
        "--rule",
        "margin-least",
        "--value",
        "1.3",
        "--reason",
        "why",
        "--second",
        "Bo Ray",
    ]);
    shop.write("bare.csv", "casing,date,text\nMF-41-06,2021,ink\n,soon,\n");
    shop.write("clean.csv", "casing,date,text,old [x],od\nMF-41-06,2021,ink,,\n");
    let mut both = "t_s,thrust_N,p_MPa\n".to_owned();
    for step in 0..1500_u32 {
        let t_s = f64::from(step) * 0.002;
        let share = (t_s - 0.5).min(2.6 - t_s).clamp(0.0, 0.1) / 0.1;
        writeln!(both, "{t_s},{},{}", 420.0 * share, 3.1 * share).unwrap();
    }
    shop.write("both.csv", both);
    let stands: Vec<String> =
        ["stand_a.csv", "stand_b.csv", "stand_d.csv"].iter().map(|name| trace_file(name)).collect();
    let calls: Vec<(&'static str, Vec<&str>)> = vec![
        ("rack", vec!["rack"]),
        ("rack", vec!["rack", "--on", "2022-01-01"]),
        ("due", vec!["due", "--on", "2026-10-17"]),
        ("show", vec!["show", "MF-48-02"]),
        ("show", vec!["show", "MF-60-05"]),
        ("show", vec!["show", "MF-41-06"]),
        ("show", vec!["show", "MF-60-03"]),
        ("journal", vec!["journal"]),
        ("journal", vec!["journal", "--since", "2026-01-01"]),
        ("journal", vec!["journal", "--since", "3"]),
        ("show", vec!["show", "76A"]),
        ("show", vec!["show", "margin-least"]),
        ("prefire", vec!["prefire", "MF-76-09", "--load", "76A"]),
        ("prefire", vec!["prefire", "MF-60-05", "--load", "60A", "--flight"]),
        ("margins", vec!["margins", "MF-41-07", "--set", "aft.engagement=8 mm"]),
        ("margins", vec!["margins", "MF-48-02"]),
        ("predict", vec!["predict", "load.toml"]),
        ("predict", vec!["predict", "load.toml", "--draws", "200"]),
        ("trace", vec!["trace", &stands[0]]),
        ("trace", vec!["trace", &stands[1]]),
        ("trace", vec!["trace", &stands[2]]),
        ("trace", vec!["trace", "both.csv", "--load", "41A", "--casing", "MF-41-06"]),
        ("trace", vec!["trace", "both.csv", "--column", "thrust=2:V", "--column", "pressure=3:V"]),
        ("trace", vec!["trace", "both.csv", "--plan", "load.toml", "--against", &stands[0]]),
        (
            "predict",
            vec!["predict", "load.toml", "--draws", "200", "--casing", "MF-41-06", "--drives", "--one-long"],
        ),
        (
            "predict",
            vec![
                "predict", "--load", "41A", "--draws", "9", "--meop", "5 MPa", "--proof", "7 MPa", "--yield",
                "9 MPa",
            ],
        ),
        ("due", vec!["due", "--load", "41A", "--grain-temperature", "20 degC"]),
        ("due", vec!["due", "--load", "48A", "--flight"]),
        ("prefire", vec!["prefire", "MF-48-02", "--load", "76A"]),
        ("proof", vec!["proof", "MF-76-09", "--pressure", "15 MPa"]),
        ("room", vec!["room", "--casing", "MF-76-09", "--load", "76A", "--margin", "9"]),
        ("calc", vec!["calc"]),
        ("calc", vec!["calc", "bates", "--help"]),
        ("calc", vec!["calc", "bates", "count=4", "outside_diameter=75 mm", "core=25 mm", "length=125 mm"]),
        ("batch", vec!["batch", "P25-1"]),
        ("bulge", vec!["bulge", "MF-48-02"]),
        ("decide", vec!["decide", "MF-41-07"]),
        ("doctor", vec!["doctor"]),
        ("growth", vec!["growth", "MF-48-02"]),
        ("growth", vec!["growth", "MF-60-05"]),
        ("instruments", vec!["instruments"]),
        ("keys", vec!["keys"]),
        ("label", vec!["label", "MF-41-06"]),
        ("proof", vec!["proof", "MF-41-07"]),
        ("room", vec!["room", "--casing", "MF-41-06", "--load", "41A"]),
        ("drift", vec!["drift"]),
        ("rules", vec!["rules"]),
        ("verify", vec!["verify"]),
        ("export", vec!["export", "--out", "taken"]),
        ("import", vec!["import", "bare.csv", "--kind", "note"]),
        ("import", vec!["import", "clean.csv", "--kind", "note", "--apply"]),
    ];
    let serials: Vec<String> = shop.json(&["rack"])["casings"]
        .as_array()
        .unwrap()
        .iter()
        .map(|it| it["serial"].as_str().unwrap().to_owned())
        .collect();
    let mut calls = calls;
    for serial in &serials {
        for command in ["show", "margins", "growth", "decide", "bulge"] {
            calls.push((command, vec![command, serial]));
        }
    }
    let mut all: BTreeMap<&'static str, Keys> = BTreeMap::new();
    for (command, arguments) in calls {
        walk(&shop.json(&arguments), "", all.entry(command).or_default());
    }
    // A book with one casing that nothing has happened to yet.
    let bare = Shop::empty();
    bare.write("bare.toml", BARE);
    bare.done(&["log", "casing", "--from", "bare.toml"]);
    for command in ["rack", "due", "rules", "instruments", "drift", "verify", "doctor"] {
        walk(&bare.json(&[command]), "", all.entry(command).or_default());
    }
    for command in ["show", "margins", "growth", "decide", "bulge", "proof", "label"] {
        walk(&bare.json(&[command, "MF-10"]), "", all.entry(command).or_default());
    }
    all
}

#[test]
fn every_key_a_command_writes_is_described_and_every_described_key_is_written() {
    let observed = observed();
    if std::env::var_os("PROOFMARK_UPDATE_SCHEMA").is_some() {
        let mut table = String::new();
        for (command, keys) in &observed {
            writeln!(table, "== {command}").unwrap();
            for (path, kinds) in keys {
                let old = schema::keys(command).into_iter().find(|key| key.path == path).map(|key| key.types);
                let mut kinds: BTreeSet<&str> =
                    kinds.iter().copied().chain(old.into_iter().flat_map(|old| old.split('|'))).collect();
                // A number without a fraction is written as it is: both are numbers.
                if kinds.contains("number") {
                    kinds.remove("integer");
                }
                writeln!(table, "{path} {}", kinds.into_iter().collect::<Vec<_>>().join("|")).unwrap();
            }
        }
        std::fs::write(concat!(env!("CARGO_MANIFEST_DIR"), "/src/report/schema/keys.txt"), table).unwrap();
        return;
    }
    let mut wrong = Vec::new();
    let known: BTreeSet<&str> = schema::commands().into_iter().collect();
    assert_eq!(known, observed.keys().copied().collect::<BTreeSet<_>>());
    for (command, keys) in &observed {
        let described: BTreeMap<&str, &str> =
            schema::keys(command).into_iter().map(|key| (key.path, key.types)).collect();
        for (path, kinds) in keys {
            match described.get(path.as_str()) {
                None => wrong.push(format!("{command} writes {path} ({kinds:?}), which is not described")),
                Some(types) => {
                    for kind in kinds {
                        let fits =
                            types.split('|').any(|it| it == *kind || (it == "number" && *kind == "integer"));
                        if !fits {
                            wrong.push(format!("{command}: {path} is {kind}, described as {types}"));
                        }
                    }
                }
            }
        }
        for path in described.keys().filter(|path| !keys.contains_key(**path)) {
            wrong.push(format!("{command}: {path} is described and no run wrote it"));
        }
    }
    assert!(
        wrong.is_empty(),
        "{}\nread the difference after PROOFMARK_UPDATE_SCHEMA=1 cargo test --test paper schema",
        wrong.join("\n")
    );
}

#[test]
fn the_documents_are_json_schema_with_units_and_meanings() {
    let shop = Shop::empty();
    let all: Value = serde_json::from_str(&shop.done(&["schema"]).out).unwrap();
    assert_eq!(all["schema"], 1);
    let rack: Value = serde_json::from_str(&shop.done(&["schema", "rack"]).out).unwrap();
    assert_eq!(all["commands"]["rack"], rack);
    let factor = &rack["properties"]["casings"]["items"]["properties"]["factor"];
    assert!(factor["description"].as_str().unwrap().contains("yield pressure"));
    let thrust = &all["commands"]["predict"]["properties"]["impulse_ns"];
    assert_eq!(
        (thrust["type"].as_str().unwrap(), thrust["description"].as_str().unwrap()),
        ("number", "newton seconds")
    );
    assert_eq!(shop.run(&["schema", "fly"]).code, 2);
}
