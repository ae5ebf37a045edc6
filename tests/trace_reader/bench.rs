//! A book of one casing on a folder of its own, and traces made for it.

use assert_cmd::Command;
use serde_json::Value;

/// Scatter of about one, the same every time.
pub struct Scatter(pub u64);

impl Scatter {
    pub fn normal(&mut self) -> f64 {
        let mut even = || {
            self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1u64 << 53) as f64
        };
        (0..12).map(|_| even()).sum::<f64>() - 6.0
    }
}

/// A burn of 2 s at about so high a level: a rise of 30 ms, a soft crown, a fall of 80 ms.
pub fn burn(t: f64, peak: f64) -> f64 {
    let edges = (t / 0.03).min((2.0 - t) / 0.08).clamp(0.0, 1.0);
    peak * edges * (0.8 + 0.8 * (t / 2.0) * (1.0 - t / 2.0))
}

/// Times and readings as a logger's file with one column, ignition at 1.5 s.
pub fn thrust(rate: f64, of: impl Fn(f64) -> f64) -> String {
    let mut scatter = Scatter(7);
    let mut text = String::from("t_s,thrust_N\n");
    for i in 0..(5.0 * rate) as u32 {
        let t = f64::from(i) / rate;
        text.push_str(&format!("{t:.4},{:.2}\n", of(t - 1.5) + 0.5 * scatter.normal()));
    }
    text
}

/// The same with a pressure beside it.
pub fn both(rate: f64, force: impl Fn(f64) -> f64, pascals: impl Fn(f64) -> f64) -> String {
    let mut scatter = Scatter(9);
    let mut text = String::from("t_s,thrust_N,pressure_Pa\n");
    for i in 0..(5.0 * rate) as u32 {
        let t = f64::from(i) / rate;
        let (a, b) = (scatter.normal(), scatter.normal());
        text.push_str(&format!(
            "{t:.4},{:.2},{:.0}\n",
            force(t - 1.5) + 0.5 * a,
            pascals(t - 1.5) + 4000.0 * b
        ));
    }
    text
}

/// A signal that ends at a level, as the converter's end does: the noise ends there too.
pub fn cut_at(text: &str, level: f64) -> String {
    let cut = |line: &str| match line.split_once(',').map(|(t, f)| (t, f.parse::<f64>())) {
        Some((t, Ok(f))) => format!("{t},{:.2}\n", f.min(level)),
        _ => format!("{line}\n"),
    };
    text.lines().map(cut).collect()
}

const CASING: &str = r#"
serial = "TR-1"
od = ["12 mm @ 0: 50.80 mm", "100 mm @ 0: 50.80 mm"]
[tube]
material = "6061-T6"
form = "drawn tube"
od = "2.000 in"
wall = "0.065 in"
wall_min = "0.063 in"
[forward]
kind = "welded plug"
leg = "2.8 mm"
[aft]
kind = "radial bolts"
count = 8
bolt = "10-32"
edge = "10 mm"
bolt_ultimate = "150 ksi"
[service]
meop = "5 MPa"
"#;

const LOAD: &str = r#"
name = "500"
planned_by = "calculation"
peak_pressure = "4.0 MPa"
peak_thrust = "500 N"
impulse = "960 Ns"
burn_time = "2 s"
[grain]
count = 3
outside_diameter = "43 mm"
core = "16 mm"
length = "75 mm"
[propellant]
density = "1680 kg/m3"
characteristic_velocity = "1370 m/s"
burn_rate = "7.0 mm/s at 5 MPa"
exponent = 0.36
ratio_of_heats = 1.2
[nozzle]
throat = "11 mm"
area_ratio = 6
"#;

/// The book.
pub struct Bench(pub tempfile::TempDir);

impl Bench {
    /// A casing that was proved, a load planned at 500 N and 4 MPa, a batch.
    pub fn new() -> Self {
        let bench = Self(tempfile::tempdir().unwrap());
        bench.write("casing.toml", CASING);
        bench.write("load.toml", LOAD);
        let proof = "log proof --casing TR-1 --on 2026-01-03 --pressure|6.5 MPa|--medium water --bled yes --hold|5 min|\
             --method|diameters only|--leak no --pressure-drop no --second|Ola Second|--od-before|12 mm @ 0: 50.80 mm|\
             --od-before|100 mm @ 0: 50.80 mm|--od-after|12 mm @ 0: 50.80 mm|--od-after|100 mm @ 0: 50.80 mm";
        for line in [
            "log casing --from casing.toml --on 2026-01-02",
            "log load --from load.toml --on 2026-01-02",
            "log batch --name B1 --propellant-density|1680 kg/m3|--on 2026-01-02",
            proof,
        ] {
            bench.good(line);
        }
        bench
    }

    /// A file in its folder.
    pub fn write(&self, name: &str, text: &str) {
        std::fs::write(self.0.path().join(name), text).unwrap();
    }

    /// Run a command: words parted by blanks, phrases by bars.
    pub fn run(&self, line: &str) -> (i32, String, String) {
        let mut arguments: Vec<String> = Vec::new();
        for (at, part) in line.split('|').enumerate() {
            if at % 2 == 1 {
                arguments.push(part.to_owned());
            } else {
                arguments.extend(part.split_whitespace().map(str::to_owned));
            }
        }
        let output = Command::cargo_bin("proofmark")
            .unwrap()
            .env_clear()
            .env("PROOFMARK_BOOK", self.0.path().join("book.db"))
            .env("PROOFMARK_BY", "Ann Lee")
            .current_dir(self.0.path())
            .args(arguments)
            .output()
            .unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (output.status.code().unwrap(), text(output.stdout), text(output.stderr))
    }

    /// One that has to go well; what it says on both streams.
    pub fn good(&self, line: &str) -> String {
        let (code, out, err) = self.run(line);
        assert_eq!(code, 0, "{line}\n{out}{err}");
        out + &err
    }

    /// One whose answer is JSON.
    pub fn json(&self, line: &str) -> Value {
        let (_, out, err) = self.run(&format!("{line} --json"));
        serde_json::from_str(&out).unwrap_or_else(|_| panic!("{line}\n{out}{err}"))
    }

    /// Fire it with a trace on a day of 2026; what the book says of it.
    pub fn fire(&self, day: &str, trace: &str, more: &str) -> String {
        let name = format!("{day}.csv");
        self.write(&name, trace);
        self.good(&format!(
            "log firing --casing TR-1 --on 2026-{day} --mode static --load 500 --batch B1 --trace {name} {more}"
        ))
    }

    /// Strip it and decide to keep it, in two names.
    pub fn keep(&self, day: &str) {
        self.good(&format!(
            "log strip --casing TR-1 --on 2026-{day} --as-found good --heat good --straight-edge good --effort good --seals good \
             --liner good --throat good --cleaned good --diameters good --bore good --penetrant good \
             --od|12 mm @ 0: 50.80 mm|--od|100 mm @ 0: 50.80 mm|--second|Ola Second|"
        ));
        self.good(&format!(
            "log disposition --casing TR-1 --on 2026-{day} --decision keep --reason fine --second|Ola Second|"
        ));
    }

    /// The rules that speak, the worst first, with what they say.
    pub fn reasons(&self) -> Vec<(String, String, String)> {
        let page = self.json("show TR-1");
        let words = |it: &Value, key: &str| it[key].as_str().unwrap_or_default().to_owned();
        page["reasons"]
            .as_array()
            .unwrap_or_else(|| panic!("{page}"))
            .iter()
            .map(|it| {
                (
                    words(it, "standing"),
                    words(it, "rule"),
                    format!("{} {}", words(it, "text"), words(it, "value")),
                )
            })
            .collect()
    }

    /// Whether a rule holds it, and what it says.
    pub fn held_by(&self, rule: &str) -> Option<String> {
        self.reasons().into_iter().find(|it| it.0 == "hold" && it.1 == rule).map(|it| it.2)
    }
}
