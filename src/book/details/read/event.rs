//! What happens: proofs, firings and their traces, inspections, pre-fire runs.

use super::drawing::{expect_diameters, expect_throat};
use super::instrument::steps;
use crate::book::details::{
    FiringRecord, ItemAttested, ItemOutcome, PrefireRecord, ProofRecord, StripRecord, TraceRecord,
};
use crate::book::reader::Reader;
use crate::book::reading::What;
use crate::book::{
    FiringMode, Kind, Landing, Medium, Outcome, PeakFrom, ProofMethod, Reading, SubjectOf, inspection,
};
use crate::quantity::{GaugePressure, Quantity, Typed, Volume};
use crate::strength::growth::direct_expansion;

/// How long a motor of a home shop burns, in seconds (common practice, no source).
pub(super) const LEAST_BURN_S: f64 = 0.05;
pub(super) const MOST_BURN_S: f64 = 60.0;

pub(super) fn proof(from: &mut Reader<'_>) -> Option<ProofRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let pressure = from.positive("pressure");
    let medium = match from.word("medium", Medium::from_word) {
        Some(medium) => Some(medium),
        None => {
            if from.has("medium")
                && let Some(last) = from.problems.last_mut()
            {
                last.message.push_str(
                    ". Water only: the same casing full of gas holds about a thousand times the energy. A gas test is not recorded as a proof",
                );
            }
            None
        }
    };
    let bled = from.yes_no("bled");
    let method = from.word("method", ProofMethod::from_word);
    let mut total_expansion = from.positive("total_expansion");
    let mut permanent_expansion = from.quantity("permanent_expansion");
    let water = water(from);
    if let (Some(volume), Some(pumped), Some(pressure)) = (&water.inside, &water.pumped, &pressure) {
        let pressure: &Typed<GaugePressure> = pressure;
        match direct_expansion(
            volume.value,
            pumped.value,
            water.returned.as_ref().map(|it| it.value),
            pressure.value,
        ) {
            Ok((total, permanent)) => {
                // What the water itself says; a figure typed beside it must agree.
                if let Some(typed) = &total_expansion
                    && (Typed::si(typed) / total.si() - 1.0).abs() > 0.05
                {
                    from.odd(
                        "total_expansion",
                        format!(
                            "the water pumped less its own compression is {}",
                            crate::quantity::show(total, crate::quantity::System::Si)
                        ),
                    );
                }
                total_expansion.get_or_insert_with(|| Typed::computed(total));
                if let Some(permanent) = permanent {
                    permanent_expansion.get_or_insert_with(|| Typed::computed(permanent));
                }
            }
            Err(message) => from.wrong("water_pumped", message),
        }
    }
    if let (Some(total), Some(permanent)) = (&total_expansion, &permanent_expansion) {
        let (total, permanent): (&Typed<Volume>, &Typed<Volume>) = (total, permanent);
        if permanent.si() > total.si() {
            from.wrong(
                "permanent_expansion",
                "more than the total expansion: permanent is what is left of the total when the pressure is off".to_owned(),
            );
        }
    }
    if total_expansion.is_some() != permanent_expansion.is_some() {
        from.wrong(
            "permanent_expansion",
            "total and permanent expansion go together: give both, or neither with method = \"diameters only\"".to_owned(),
        );
    }
    let steps = steps(from);
    if let (Some(last), Some(pressure)) = (steps.last(), &pressure) {
        let pressure: &Typed<GaugePressure> = pressure;
        if last.pressure.si() > pressure.si() * (1.0 + 1e-9) {
            from.wrong(
                "pressure",
                "a step went higher than this: it is the highest pressure reached".to_owned(),
            );
        }
    }
    let mut readings = from.readings(Kind::Proof, "od_before", What::OutsideDiameter);
    readings.extend(from.readings(Kind::Proof, "od_under", What::OutsideDiameter));
    readings.extend(from.readings(Kind::Proof, "od_after", What::OutsideDiameter));
    let design = casing.as_deref().and_then(|casing| from.on_record().design(casing));
    if let Some(design) = &design {
        for (field, phase) in [
            ("od_before", crate::book::Phase::Before),
            ("od_under", crate::book::Phase::Under),
            ("od_after", crate::book::Phase::After),
        ] {
            let of_phase: Vec<Reading> = readings.iter().filter(|it| it.phase == phase).cloned().collect();
            expect_diameters(from, field, &of_phase, design);
        }
        if let Some(pressure) = &pressure {
            // A restricted casing is proved lower, and nobody proves at more than a few times MEOP.
            let meop = design.service.meop.si();
            from.expect_between("pressure", pressure, 1.5 * meop, (0.3 * meop, 2.5 * meop));
        }
    }
    Some(ProofRecord {
        casing: casing?,
        parts: Vec::new(),
        pressure: pressure?,
        medium: medium?,
        hold: from.positive("hold"),
        bled,
        method: method?,
        total_expansion,
        permanent_expansion,
        readings,
        leak: from.yes_no("leak"),
        pressure_drop: from.yes_no("pressure_drop"),
        gauge: from.text("gauge"),
        od_gauge: from.text("od_gauge"),
        od_repeatability: None,
        rig_checked: from.yes_no("rig_checked"),
        water_volume: water.inside,
        water_pumped: water.pumped,
        water_returned: water.returned,
        steps,
        water_temperature: from.quantity("water_temperature"),
        remark: from.text("remark"),
    })
}

/// The water of a direct expansion.
struct Water {
    inside: Option<Typed<Volume>>,
    pumped: Option<Typed<Volume>>,
    returned: Option<Typed<Volume>>,
}

fn water(from: &mut Reader<'_>) -> Water {
    let water = Water {
        inside: from.positive("water_volume"),
        pumped: from.positive("water_pumped"),
        returned: from.quantity("water_returned"),
    };
    if water.pumped.is_some() && water.inside.is_none() && !from.has("total_expansion") {
        from.wrong(
            "water_volume",
            "needed with the water pumped: its own compression is as large as the growth and is taken off"
                .to_owned(),
        );
    }
    water
}

pub(super) fn firing(from: &mut Reader<'_>) -> Option<FiringRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let mode = from.word("mode", FiringMode::from_word);
    let load = from.known("load", SubjectOf::Load);
    let batch = from.known("batch", SubjectOf::Batch);
    let peak_pressure = from.peak_pressure("peak_pressure");
    let peak_from = from.word("peak_from", PeakFrom::from_word);
    let design = casing.as_deref().and_then(|it| from.on_record().design(it));
    if let (Some(peak), Some(design)) = (&peak_pressure, &design) {
        let meop = design.service.meop.si();
        from.expect_between("peak_pressure", peak, meop, (0.0, 2.5 * meop));
    }
    let burn_time = from.positive("burn_time");
    if let Some(burn_time) = &burn_time {
        from.plausible("burn_time", burn_time, LEAST_BURN_S, MOST_BURN_S);
    }
    let throat_before = from.positive("throat_before");
    let throat_after = from.positive("throat_after");
    if let Some(design) = &design {
        expect_throat(from, "throat_before", throat_before.as_ref(), design);
        expect_throat(from, "throat_after", throat_after.as_ref(), design);
    }
    let landing = from.word("landing", Landing::from_word);
    if landing.is_some() && mode == Some(FiringMode::Static) {
        from.wrong("landing", "a static firing does not land; leave it out".to_owned());
    }
    Some(FiringRecord {
        parts: Vec::new(),
        planned_peak: None,
        planned_thrust: None,
        planned_impulse: None,
        batch,
        place: from.text("place"),
        conductor: from.text("conductor"),
        peak_from,
        peak_thrust: from.positive("peak_thrust"),
        impulse: from.positive("impulse"),
        burn_time,
        grain_temperature: from.grain_temperature("grain_temperature"),
        ignition_delay: from.quantity("ignition_delay"),
        throat_before,
        throat_after,
        landing,
        breach: None,
        remark: from.text("remark"),
        casing: casing?,
        mode: mode?,
        load: Some(load?),
        peak_pressure,
    })
}

pub(super) fn trace(from: &mut Reader<'_>) -> Option<TraceRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    // A nil identity: the last firing, which the desk looks up.
    let firing =
        if from.has("firing") { from.entry("firing") } else { Some(crate::book::EntryId(uuid::Uuid::nil())) };
    let file = from.text("file");
    Some(TraceRecord {
        casing: casing?,
        firing: firing?,
        // The desk reads the file, and puts in its bare name, its hash and what it was reduced to.
        file: file?,
        sha256: String::new(),
        bytes: 0,
        columns: None,
        reduction: serde_json::Value::Null,
    })
}

pub(super) fn strip(from: &mut Reader<'_>) -> Option<StripRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let firing = from.entry("firing");
    let mut readings = from.readings(Kind::Strip, "od", What::OutsideDiameter);
    readings.extend(from.readings(Kind::Strip, "id", What::InsideDiameter));
    let throats = from.throats(Kind::Strip, "throats");
    readings.extend(from.readings(Kind::Strip, "hb", What::Hardness));
    if let Some(design) = casing.as_deref().and_then(|casing| from.on_record().design(casing)) {
        for (field, what) in [("od", What::OutsideDiameter), ("id", What::InsideDiameter)] {
            let of_what: Vec<Reading> = readings.iter().filter(|it| it.what == what).cloned().collect();
            expect_diameters(from, field, &of_what, &design);
        }
        for throat in &throats {
            expect_throat(from, "throats", Some(throat), &design);
        }
    }
    let measured_od = readings.iter().any(|it| it.what == What::OutsideDiameter && it.value.is_some());
    let items = inspection::ITEMS
        .iter()
        .map(|item| {
            let stated = from.word(item.id, Outcome::from_word);
            let outcome = match (item.id, stated) {
                ("diameters", None) if measured_od => Outcome::Good,
                ("diameters", Some(Outcome::Good)) if !measured_od => {
                    from.wrong(
                        "diameters",
                        "good needs the readings themselves: od = \"250 mm @ 90: 66.68 mm\"; or say not measured".to_owned(),
                    );
                    Outcome::NotMeasured
                }
                (_, stated) => stated.unwrap_or(Outcome::NotMeasured),
            };
            ItemOutcome { item: item.id.to_owned(), outcome }
        })
        .collect();
    Some(StripRecord {
        casing: casing?,
        firing,
        items,
        readings,
        throats,
        label_temperature: from.quantity("label_temperature"),
        od_gauge: from.text("od_gauge"),
        od_repeatability: None,
        remark: from.text("remark"),
    })
}

pub(super) fn prefire(from: &mut Reader<'_>) -> Option<PrefireRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let load = from.known("load", SubjectOf::Load);
    let batch = from.known("batch", SubjectOf::Batch);
    let mode = from.word("mode", FiringMode::from_word);
    let grain_temperature = from.grain_temperature("grain_temperature");
    let yes = from.names("yes");
    let no = from.names("no");
    let attested = |items: &[String], state: crate::book::Attested| -> Vec<ItemAttested> {
        items
            .iter()
            .map(|item| ItemAttested {
                item: item.clone(),
                text: String::new(),
                decided_by: "person".to_owned(),
                state: state.word().to_owned(),
            })
            .collect()
    };
    // The desk replaces these by the whole checklist with these items answered.
    let mut items = attested(&yes, crate::book::Attested::Yes);
    items.extend(attested(&no, crate::book::Attested::No));
    Some(PrefireRecord {
        parts: Vec::new(),
        batch,
        grain_temperature,
        planned_for: chrono::NaiveDate::MIN,
        items,
        released: crate::book::Attested::Open,
        remark: from.text("remark"),
        casing: casing?,
        load: load?,
        mode: mode?,
    })
}
