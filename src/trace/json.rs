//! The reduction as other programs read it: flat keys, SI, the unit in the key.

use serde::ser::SerializeMap;
use serde::{Serialize, Serializer};
use serde_json::{Value, json};

use super::channel::ChannelReduction;
use super::class::{designation, impulse_class};
use super::read::ChannelUnit;
use super::reduce::Reduction;

/// Standard acceleration of free fall, exact (NIST SP 811).
const G0: f64 = 9.806_65;

impl Reduction {
    /// Keys and values in the order they are written.
    fn entries(&self) -> Vec<(String, Value)> {
        let mut out: Vec<(String, Value)> = Vec::new();
        let mut put = |key: &str, value: Value| out.push((key.to_owned(), value));
        put("samples", json!(self.samples));
        if let Some(zero) = &self.clock_zero {
            put("clock_at_zero", json!(zero));
        }
        put("sample_interval_s", json!(self.sample_interval_s));
        put("repeated_stamps", json!(self.repeated_stamps));
        put("gaps", json!(self.gaps));
        put("threshold", json!(self.threshold));
        let unit = self.thrust.as_ref().or(self.pressure.as_ref()).map_or("n", |c| c.unit.key());
        if let Some(thrust) = &self.thrust {
            self.put_thrust(thrust, &mut put);
        }
        if let Some(pressure) = &self.pressure {
            put_pressure(pressure, self.thrust.is_none(), &mut put);
        }
        if let Some(nozzle) = &self.nozzle {
            put("nozzle", json!(nozzle));
        }
        let phases: Vec<Value> = self
            .phases
            .iter()
            .map(|p| json!({"from_s": p.from_s, "to_s": p.to_s, (format!("mean_{unit}")): p.mean}))
            .collect();
        put("phases", json!(phases));
        put("findings", json!(self.findings));
        put("rejected", json!(self.rejected));
        put("definitions", self.definitions());
        out
    }

    fn put_thrust(&self, c: &ChannelReduction, put: &mut impl FnMut(&str, Value)) {
        let (u, us) = (c.unit.key(), integral_key(c.unit));
        put(&format!("tare_{u}"), json!(c.tare.at_ignition));
        put("tare_basis", json!(c.tare.basis));
        put(&format!("drift_{u}"), json!(c.tare.drift));
        put(&format!("noise_{u}"), json!(c.tare.noise));
        put(&format!("peak_thrust_{u}"), json!(c.peak));
        put("peak_at_s", json!(c.peak_at_s));
        put("peak_is_lower_bound", json!(c.peak_is_lower_bound));
        put_doubts(c, "peak", "thrust", put);
        put(&format!("peak_thrust_filtered_{u}"), json!(c.peak_filtered));
        put("peak_filtered_at_s", json!(c.peak_filtered_at_s));
        put("filter_s", json!(c.filter_s));
        put(&format!("largest_reading_{u}"), json!(c.largest_reading));
        put(&format!("impulse_{us}"), json!(c.integral));
        put("impulse_from_s", json!(c.integral_from_s));
        put("impulse_to_s", json!(c.integral_to_s));
        if c.unit == ChannelUnit::N {
            let class = impulse_class(c.integral);
            put("class", json!(class.as_ref().map(|class| &class.letter)));
            put("class_range", json!(class));
            put("designation", json!(class.as_ref().map(|class| designation(&class.letter, c.mean()))));
            if let Some(mass) = self.propellant_kg {
                put("propellant_kg", json!(mass));
                put("specific_impulse_s", json!(c.integral / (mass * G0)));
            }
        }
        put("burn_start_s", json!(c.burn.start_s));
        put("burn_end_s", json!(c.burn.end_s));
        put("burn_time_s", json!(c.burn.time_s()));
        put(&format!("mean_thrust_{u}"), json!(c.mean()));
        put("action_time_s", json!(c.at_10_percent.time_s()));
        put("at_thresholds", at_thresholds(c, "impulse", us));
        put(
            "uncertainty",
            json!({
                (format!("impulse_{us}")): c.integral_uncertainty,
                (format!("peak_thrust_{u}")): c.peak_uncertainty,
                "burn_time_s": c.burn_time_uncertainty_s,
                "covers": "one standard deviation from noise, zero line and stamps; the calibration is not in it",
            }),
        );
    }

    fn definitions(&self) -> Value {
        let percent = self.threshold * 100.0;
        let mut text = json!({
            "burn_time": format!(
                "between the first and the last crossing of {percent:.0} % of the peak, straight lines between samples ({})",
                if (self.threshold - 0.05).abs() < 1e-9 { "NFPA 1125" } else { "as asked" }
            ),
            "action_time": "the same at 10 % of the peak (Sutton & Biblarz; NASA practice)",
            "impulse": "trapezoids over the tared, unfiltered readings from the first measurable one to the last",
            "mean_thrust": "impulse over burn time",
            "peak": "largest tared reading within the burn, not filtered, electrical spikes put aside",
            "class": "by impulse, upper bound inclusive (NFPA 1125)",
            "times": match &self.clock_zero {
                Some(zero) => format!("seconds since the first stamp of the clock, which reads {zero}"),
                None => "seconds as the file counts them".to_owned(),
            },
            "repeated_stamps": "rows with equal stamps are kept as they stand, as a step",
        });
        let lower_bound = self.thrust.as_ref().is_some_and(|c| c.peak_is_lower_bound);
        if let (true, Some(map)) = (lower_bound, text.as_object_mut()) {
            map.insert(
                "held_readings".to_owned(),
                json!("each reading holds until the next; a display averages and skips, so the true peak is this or more"),
            );
        }
        text
    }
}

fn put_pressure(c: &ChannelReduction, alone: bool, put: &mut impl FnMut(&str, Value)) {
    let (u, us) = (c.unit.key(), integral_key(c.unit));
    put(&format!("peak_pressure_{u}"), json!(c.peak));
    put("peak_pressure_at_s", json!(c.peak_at_s));
    if c.peak_is_lower_bound {
        put("peak_pressure_is_lower_bound", json!(true));
    }
    put_doubts(c, "peak_pressure", "pressure", put);
    put(&format!("peak_pressure_filtered_{u}"), json!(c.peak_filtered));
    put(&format!("pressure_tare_{u}"), json!(c.tare.at_ignition));
    put("pressure_tare_basis", json!(c.tare.basis));
    put(&format!("pressure_drift_{u}"), json!(c.tare.drift));
    put(&format!("pressure_noise_{u}"), json!(c.tare.noise));
    put("pressure_burn_start_s", json!(c.burn.start_s));
    put("pressure_burn_end_s", json!(c.burn.end_s));
    put("pressure_burn_time_s", json!(c.burn.time_s()));
    put(&format!("pressure_integral_{us}"), json!(c.integral));
    put(&format!("mean_pressure_{u}"), json!(c.mean()));
    put("pressure_at_thresholds", at_thresholds(c, "pressure_integral", us));
    put(
        "pressure_uncertainty",
        json!({
            (format!("pressure_integral_{us}")): c.integral_uncertainty,
            (format!("peak_pressure_{u}")): c.peak_uncertainty,
        }),
    );
    if alone {
        put("burn_start_s", json!(c.burn.start_s));
        put("burn_end_s", json!(c.burn.end_s));
        put("burn_time_s", json!(c.burn.time_s()));
        put("action_time_s", json!(c.at_10_percent.time_s()));
    }
}

/// Why the peak is not known, and what was put aside: keys only where there is something to say.
fn put_doubts(c: &ChannelReduction, peak: &str, channel: &str, put: &mut impl FnMut(&str, Value)) {
    let u = c.unit.key();
    if let Some(why) = &c.cut_off {
        put(&format!("{peak}_cut_off"), json!(why));
    }
    if let Some(worst) = c.peak_if_real() {
        put(&format!("peak_{channel}_if_real_{u}"), json!(worst.value));
        put(&format!("{peak}_if_real"), json!(worst.says(c.unit)));
    }
    // A record full of sparks is told by its first hundred.
    let aside: Vec<Value> = c
        .put_aside
        .iter()
        .take(100)
        .map(|it| {
            json!({
                "at_s": it.at_s,
                "length_s": it.length_s,
                "samples": it.samples,
                (format!("reading_{u}")): it.value,
                "since_ignition_s": it.since_ignition_s,
                "may_be_real": it.may_be_real,
                "contradicted": it.contradicted,
                "says": it.says(c.unit),
            })
        })
        .collect();
    if !aside.is_empty() {
        put(&format!("{channel}_put_aside"), Value::Array(aside));
    }
}

fn at_thresholds(c: &ChannelReduction, name: &str, us: &str) -> Value {
    let one = |x: &super::burn::Crossings| {
        json!({
            "threshold": x.threshold,
            "start_s": x.start_s,
            "end_s": x.end_s,
            "time_s": x.time_s(),
            (format!("{name}_{us}")): x.integral,
            (format!("mean_{}", c.unit.key())): x.integral / x.time_s(),
        })
    };
    json!([one(&c.at_5_percent), one(&c.at_10_percent)])
}

fn integral_key(unit: ChannelUnit) -> &'static str {
    match unit {
        ChannelUnit::N => "ns",
        ChannelUnit::Pa => "pa_s",
        ChannelUnit::V => "v_s",
    }
}

impl ChannelReduction {
    /// Integral over burn time.
    pub fn mean(&self) -> f64 {
        self.integral / self.burn.time_s()
    }
}

impl Serialize for Reduction {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let entries = self.entries();
        let mut map = serializer.serialize_map(Some(entries.len()))?;
        for (key, value) in &entries {
            map.serialize_entry(key, value)?;
        }
        map.end()
    }
}
