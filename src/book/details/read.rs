//! One reader a kind: the form's fields into the record.

use super::*;
use crate::book::damage::{Damage, Measure};
use crate::book::reader::Reader;
use crate::book::reading::What;
use crate::book::{
    Decision, Event, FiringMode, FitAction, Landing, Medium, Outcome, PeakFrom, Position, ProofMethod,
    SubjectOf, inspection,
};
use crate::design::{Design, End, EndKind, Plate, PlateEdge, ProductForm, Service, Tube};

/// Read the record of a kind; problems stay with the reader.
pub fn read(kind: Kind, from: &mut Reader<'_>) -> Option<Details> {
    match kind {
        Kind::Casing => casing(from).map(Details::from),
        Kind::Part => part(from).map(Details::from),
        Kind::Fit => fit(from).map(Details::from),
        Kind::Proof => proof(from).map(Details::from),
        Kind::Load => load(from).map(Details::from),
        Kind::Batch => batch(from).map(Details::from),
        Kind::Firing => firing(from).map(Details::from),
        Kind::Strip => strip(from).map(Details::from),
        Kind::Finding => finding(from).map(Details::from),
        Kind::Disposition => disposition(from).map(Details::from),
        Kind::Note => note(from).map(Details::from),
        Kind::Photo => photo(from).map(Details::from),
        Kind::Strike => strike(from).map(Details::from),
        Kind::Prefire => prefire(from).map(Details::from),
        Kind::Rule => rule(from).map(Details::from),
        Kind::Trace => trace(from).map(Details::from),
    }
}

/// Read a casing on paper: the `tube`, `forward`, `aft` and `service` fields.
pub fn design(from: &mut Reader<'_>) -> Option<Design> {
    let tube = tube(from);
    let forward = end(from, "forward");
    let aft = end(from, "aft");
    let meop = from.positive("service.meop");
    if let Some(meop) = &meop {
        from.plausible("service.meop", meop, 0.2e6, 30e6);
    }
    let wall_temperature = from.quantity("service.wall_temperature");
    let design = Design {
        tube: tube?,
        forward: forward?,
        aft: aft?,
        service: Service { meop: meop?, wall_temperature },
    };
    let problems = design.problems();
    if problems.is_empty() {
        return Some(design);
    }
    for problem in problems {
        from.wrong(&problem.field, problem.message);
    }
    None
}

fn tube(from: &mut Reader<'_>) -> Option<Tube> {
    let material = from.text("tube.material");
    let form = from.word("tube.form", ProductForm::from_word);
    let od = from.positive("tube.od");
    let wall = from.positive("tube.wall");
    let wall_min = from.positive("tube.wall_min");
    let length = from.positive("tube.length");
    let yield_strength = from.positive("tube.yield");
    let ultimate_strength = from.positive("tube.ultimate");
    let modulus = from.positive("tube.modulus");
    let poisson = from.number("tube.poisson", 0.05..=0.5);
    if let Some(od) = &od {
        from.plausible("tube.od", od, 0.010, 0.600);
    }
    if let Some(wall) = &wall {
        from.plausible("tube.wall", wall, 0.0004, 0.040);
    }
    if let Some(length) = &length {
        from.plausible("tube.length", length, 0.03, 4.0);
    }
    Some(Tube {
        material: material?,
        form,
        od: od?,
        wall: wall?,
        wall_min,
        length,
        yield_strength,
        ultimate_strength,
        modulus,
        poisson,
    })
}

fn end(from: &mut Reader<'_>, end: &str) -> Option<End> {
    let field = |name: &str| format!("{end}.{name}");
    let kind = from.word(&field("kind"), EndKind::from_word);
    let plate = if from.has_any(&field("plate.")) {
        let thickness = from.positive(&field("plate.thickness"));
        let edge = from.word(&field("plate.edge"), PlateEdge::from_word);
        let material = from.text(&field("plate.material"));
        if thickness.is_none() && !from.has(&field("plate.thickness")) {
            from.wrong(
                &field("plate.thickness"),
                "missing; a plate needs its thickness, for example 12 mm".to_owned(),
            );
        }
        if edge.is_none() && !from.has(&field("plate.edge")) {
            from.wrong(&field("plate.edge"), "missing; it takes one of: clamped, supported".to_owned());
        }
        match (thickness, edge) {
            (Some(thickness), Some(edge)) => Some(Plate { thickness, edge, material }),
            _ => None,
        }
    } else {
        None
    };
    let count = from.whole(&field("count"), 1..=200);
    Some(End {
        leg: from.positive(&field("leg")),
        count,
        bolt: from.text(&field("bolt")),
        edge: from.positive(&field("edge")),
        bolt_ultimate: from.positive(&field("bolt_ultimate")),
        pitch_diameter: from.positive(&field("pitch_diameter")),
        engagement: from.positive(&field("engagement")),
        relief_diameter: from.positive(&field("relief_diameter")),
        groove_depth: from.positive(&field("groove_depth")),
        ring_thickness: from.positive(&field("ring_thickness")),
        seal_diameter: from.positive(&field("seal_diameter")),
        kind: kind?,
        plate,
    })
}

fn casing(from: &mut Reader<'_>) -> Option<CasingRecord> {
    let serial = from.new_name("serial");
    let name = from.text("name");
    let revision = from.text("revision").unwrap_or_else(|| "A".to_owned());
    let design = design(from);
    let readings = from.readings(Kind::Casing, "od", What::OutsideDiameter);
    if let Some(design) = &design {
        expect_diameters(from, "od", &readings, design);
    }
    Some(CasingRecord {
        serial: serial?,
        name,
        revision,
        design: design?,
        machinist: from.text("machinist"),
        welder: from.text("welder"),
        tube_lot: from.text("tube_lot"),
        drawing: from.text("drawing"),
        readings,
        remark: from.text("remark"),
    })
}

fn part(from: &mut Reader<'_>) -> Option<PartRecord> {
    let serial = from.new_name("serial");
    let what = from.word("what", Position::from_word);
    Some(PartRecord {
        material: from.text("material"),
        maker: from.text("maker"),
        lot: from.text("lot"),
        life_firings: from.whole("life_firings", 1..=10_000),
        firings_before: from.whole("firings_before", 0..=10_000).unwrap_or(0),
        throat: from.positive("throat"),
        remark: from.text("remark"),
        serial: serial?,
        what: what?,
    })
}

fn fit(from: &mut Reader<'_>) -> Option<FitRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let part = from.known("part", SubjectOf::Part);
    let position = from.word("position", Position::from_word);
    let action = from.word("action", FitAction::from_word).unwrap_or(FitAction::Fitted);
    Some(FitRecord {
        throat: from.positive("throat"),
        remark: from.text("remark"),
        casing: casing?,
        part: part?,
        // The desk puts in what the part is on record as, where nobody says otherwise.
        position: position.unwrap_or(Position::Tube),
        action,
    })
}

fn expect_diameters(from: &mut Reader<'_>, name: &str, readings: &[Reading], design: &Design) {
    let od = design.tube.od.si();
    let length = design.tube.length.as_ref().map(|length| length.si());
    for reading in readings {
        let place = crate::quantity::show(reading.station.value, crate::quantity::System::Si);
        if let Some(value) = &reading.value {
            let expected = match reading.what {
                What::InsideDiameter => od - 2.0 * design.tube.wall.si(),
                _ => od,
            };
            let slip = crate::book::reader::slip(
                crate::quantity::Dimension::Length,
                value.typed.as_deref(),
                value.si(),
                expected,
            );
            if let Some(message) = slip {
                from.odd(name, format!("at station {place}: {message}"));
            } else if (value.si() / expected - 1.0).abs() > 0.10 {
                from.odd(
                    name,
                    format!(
                        "at station {place}: {} is more than 10 % from the {} of the drawing; it will not be believed",
                        value.typed.as_deref().unwrap_or("this"),
                        crate::quantity::show(crate::quantity::Length::mm(expected * 1e3), crate::quantity::System::Si)
                    ),
                );
            }
        }
        if let Some(length) = length
            && reading.station.si() > length
        {
            from.odd(name, format!("station {place} is beyond the tube's length"));
        }
    }
}

fn proof(from: &mut Reader<'_>) -> Option<ProofRecord> {
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
    let total_expansion = from.positive("total_expansion");
    let permanent_expansion = from.quantity("permanent_expansion");
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
            from.expect("pressure", pressure, 1.5 * design.service.meop.si());
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
        water_temperature: from.quantity("water_temperature"),
        remark: from.text("remark"),
    })
}

use crate::book::Reading;
use crate::quantity::{Typed, Volume};

fn propellant(from: &mut Reader<'_>) -> Propellant {
    let propellant = Propellant {
        density: from.positive("propellant.density"),
        characteristic_velocity: from.positive("propellant.characteristic_velocity"),
        burn_rate: from.burn_rate("propellant.burn_rate"),
        exponent: from.number("propellant.exponent", 0.0..=0.99),
        ratio_of_heats: from.number("propellant.ratio_of_heats", 1.01..=1.67),
    };
    if let Some(density) = &propellant.density {
        from.plausible("propellant.density", density, 900.0, 2500.0);
    }
    propellant
}

fn load(from: &mut Reader<'_>) -> Option<LoadRecord> {
    let name = from.new_name("name");
    let revision = from.text("revision").unwrap_or_else(|| "A".to_owned());
    let peak_pressure = from.peak_pressure("peak_pressure");
    if let Some(peak) = &peak_pressure {
        from.plausible("peak_pressure", peak, 0.2e6, 30e6);
    }
    let grain = if from.has_any("grain.") {
        for needed in ["grain.count", "grain.outside_diameter", "grain.core", "grain.length"] {
            if !from.has(needed) {
                from.wrong(
                    needed,
                    "missing; a grain needs count, outside_diameter, core and length".to_owned(),
                );
            }
        }
        let count = from.whole("grain.count", 1..=100);
        let outside_diameter = from.positive("grain.outside_diameter");
        let core = from.positive("grain.core");
        let length = from.positive("grain.length");
        let inhibited_ends = from.whole("grain.inhibited_ends", 0..=200).unwrap_or(0);
        match (count, outside_diameter, core, length) {
            (Some(count), Some(outside_diameter), Some(core), Some(length)) => {
                let grain = Grain { count, outside_diameter, core, length, inhibited_ends };
                if grain.core.si() >= grain.outside_diameter.si() {
                    from.wrong(
                        "grain.core",
                        "the core is as wide as the grain: nothing would be left to burn".to_owned(),
                    );
                }
                if grain.inhibited_ends > 2 * grain.count {
                    from.wrong(
                        "grain.inhibited_ends",
                        format!("{} segments have only {} end faces", grain.count, 2 * grain.count),
                    );
                }
                Some(grain)
            }
            _ => None,
        }
    } else {
        None
    };
    let propellant = from.has_any("propellant.").then(|| propellant(from));
    let nozzle = if from.has_any("nozzle.") {
        let throat = from.positive("nozzle.throat");
        if !from.has("nozzle.throat") {
            from.wrong(
                "nozzle.throat",
                "missing; a nozzle needs its throat DIAMETER, for example U drill".to_owned(),
            );
        }
        let area_ratio = from.number("nozzle.area_ratio", 1.0..=400.0);
        let exit = from.positive("nozzle.exit");
        if area_ratio.is_some() && exit.is_some() {
            from.wrong("nozzle.exit", "give the exit diameter or the area ratio, not both".to_owned());
        }
        let half_angle_deg = from.number("nozzle.half_angle", 0.0..=60.0);
        let efficiency = from.number("nozzle.efficiency", 0.3..=1.0);
        throat.map(|throat| Nozzle { throat, area_ratio, exit, half_angle_deg, efficiency })
    } else {
        None
    };
    Some(LoadRecord {
        peak_thrust: from.positive("peak_thrust"),
        impulse: from.positive("impulse"),
        burn_time: from.positive("burn_time"),
        propellant_mass: from.positive("propellant_mass"),
        peak_scatter: from.percent("peak_scatter", 0.1..=60.0).map(|percent| percent / 100.0),
        planned_by: from.text("planned_by"),
        remark: from.text("remark"),
        name: name?,
        revision,
        peak_pressure: peak_pressure?,
        grain,
        propellant,
        nozzle,
    })
}

fn batch(from: &mut Reader<'_>) -> Option<BatchRecord> {
    let name = from.new_name("name");
    Some(BatchRecord {
        propellant: propellant(from),
        burn_rate_factor: from.number("burn_rate_factor", 0.3..=3.0),
        at_temperature: from.quantity("at_temperature"),
        numbers_from: from.text("numbers_from"),
        remark: from.text("remark"),
        name: name?,
    })
}

fn firing(from: &mut Reader<'_>) -> Option<FiringRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let mode = from.word("mode", FiringMode::from_word);
    let load = from.known("load", SubjectOf::Load);
    let batch = from.known("batch", SubjectOf::Batch);
    let peak_pressure = from.peak_pressure("peak_pressure");
    let peak_from = from.word("peak_from", PeakFrom::from_word);
    if let (Some(peak), Some(design)) =
        (&peak_pressure, casing.as_deref().and_then(|it| from.on_record().design(it)))
    {
        from.expect("peak_pressure", peak, design.service.meop.si());
    }
    let landing = from.word("landing", Landing::from_word);
    if landing.is_some() && mode == Some(FiringMode::Static) {
        from.wrong("landing", "a static firing does not land; leave it out".to_owned());
    }
    Some(FiringRecord {
        parts: Vec::new(),
        planned_peak: None,
        batch,
        place: from.text("place"),
        conductor: from.text("conductor"),
        peak_from,
        peak_thrust: from.positive("peak_thrust"),
        impulse: from.positive("impulse"),
        burn_time: from.positive("burn_time"),
        grain_temperature: from.quantity("grain_temperature"),
        ignition_delay: from.quantity("ignition_delay"),
        throat_before: from.positive("throat_before"),
        throat_after: from.positive("throat_after"),
        landing,
        breach: None,
        remark: from.text("remark"),
        casing: casing?,
        mode: mode?,
        load: Some(load?),
        peak_pressure,
    })
}

fn trace(from: &mut Reader<'_>) -> Option<TraceRecord> {
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

fn strip(from: &mut Reader<'_>) -> Option<StripRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let firing = from.entry("firing");
    let mut readings = from.readings(Kind::Strip, "od", What::OutsideDiameter);
    readings.extend(from.readings(Kind::Strip, "id", What::InsideDiameter));
    let throats = from.readings(Kind::Strip, "throats", What::InsideDiameter);
    readings.extend(from.readings(Kind::Strip, "hb", What::Hardness));
    if let Some(design) = casing.as_deref().and_then(|casing| from.on_record().design(casing)) {
        for (field, what) in [("od", What::OutsideDiameter), ("id", What::InsideDiameter)] {
            let of_what: Vec<Reading> = readings.iter().filter(|it| it.what == what).cloned().collect();
            expect_diameters(from, field, &of_what, &design);
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
        throats: throats.into_iter().filter_map(|reading| reading.value).collect(),
        label_temperature: from.quantity("label_temperature"),
        remark: from.text("remark"),
    })
}

/// A casing or a part, not both, not neither.
fn casing_or_part(from: &mut Reader<'_>) -> Option<(Option<String>, Option<String>)> {
    let casing = from.known("casing", SubjectOf::Casing);
    let part = from.known("part", SubjectOf::Part);
    match (from.has("casing"), from.has("part")) {
        (true, true) => {
            from.wrong("part", "give a casing or a part, not both".to_owned());
            None
        }
        (false, false) => {
            from.wrong("casing", "missing; give the serial of a casing, or of a part with --part".to_owned());
            None
        }
        _ if casing.is_none() && part.is_none() => None,
        _ => Some((casing, part)),
    }
}

fn finding(from: &mut Reader<'_>) -> Option<FindingRecord> {
    let subject = casing_or_part(from);
    let damage = from.word("damage", Damage::find);
    let record = FindingRecord {
        casing: None,
        part: None,
        damage: damage.unwrap_or(Damage::Bulge),
        station: from.quantity("station"),
        clock_deg: from.number("clock", 0.0..=360.0),
        percent: from.percent("percent", 0.0..=100.0),
        depth: from.quantity("depth"),
        temperature: from.quantity("temperature"),
        count: from.whole("count", 0..=1000),
        hardness: from.number("hardness", 1.0..=1000.0),
        wall_left: from.positive("wall_left"),
        found_by: from.text("found_by"),
        evidence: from.text("evidence").unwrap_or_default(),
    };
    let damage = damage?;
    let sheet = damage.sheet();
    let missing = match sheet.measure {
        Measure::Percent => {
            record.percent.is_none() && record.hardness.is_none() && record.temperature.is_none()
        }
        Measure::Depth => record.depth.is_none(),
        Measure::Temperature => record.temperature.is_none(),
        Measure::Count => record.count.is_none(),
        Measure::Presence => false,
    };
    if missing {
        from.odd(
            match sheet.measure {
                Measure::Depth => "depth",
                Measure::Temperature => "temperature",
                Measure::Count => "count",
                _ => "percent",
            },
            format!("not measured ({}): the casing stays on hold until it is", sheet.of),
        );
    }
    let (casing, part) = subject?;
    Some(FindingRecord { casing, part, damage, ..record })
}

fn disposition(from: &mut Reader<'_>) -> Option<DispositionRecord> {
    let subject = casing_or_part(from);
    let decision = from.word("decision", Decision::from_word);
    let reason = from.text("reason");
    let meop = from.positive("meop");
    let loads = from.names("loads");
    for load in &loads {
        if !from.on_record().knows(SubjectOf::Load, load) {
            from.wrong("loads", format!("no load \"{}\" is on record", crate::book::reading::shorten(load)));
        }
    }
    let record = DispositionRecord {
        casing: None,
        part: None,
        decision: decision.unwrap_or(Decision::Hold),
        reason: reason.clone().unwrap_or_default(),
        meop,
        loads,
        proof_every: from.whole("proof_every", 1..=1000),
        expires: from.date("expires"),
        standoff_multiplier: from.number("standoff_multiplier", 1.0..=20.0),
        lifts_restriction: from.yes_no("lifts_restriction").unwrap_or(false),
        extra_checks: from.text("extra_checks"),
        made_unusable: from.text("made_unusable"),
        repair: from.text("repair"),
    };
    let decision = decision?;
    if decision == Decision::Restrict && record.meop.is_none() && record.loads.is_empty() {
        from.wrong("meop", "a restriction needs a lower meop, or the loads it allows, or both".to_owned());
    }
    if decision != Decision::Restrict && (record.meop.is_some() || !record.loads.is_empty()) {
        from.wrong("decision", format!("meop and loads belong to a restriction, not to \"{decision}\""));
    }
    if decision == Decision::Retire && record.made_unusable.is_none() {
        from.odd(
            "made_unusable",
            "not said: a retired casing that is still whole comes back; hole it, saw it, then note it"
                .to_owned(),
        );
    }
    reason?;
    let (casing, part) = subject?;
    Some(DispositionRecord { casing, part, ..record })
}

fn note(from: &mut Reader<'_>) -> Option<NoteRecord> {
    let (casing, part) =
        if from.has("casing") || from.has("part") { casing_or_part(from)? } else { (None, None) };
    let event = from.word("event", Event::from_word);
    if event.is_some() && casing.is_none() && part.is_none() {
        from.wrong("event", "an event happens to a casing or a part: give its serial".to_owned());
    }
    Some(NoteRecord { event, text: from.text("text")?, casing, part })
}

fn photo(from: &mut Reader<'_>) -> Option<PhotoRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let path = from.text("path");
    let caption = from.text("caption");
    Some(PhotoRecord {
        // The desk reads the file and puts its hash here.
        sha256: String::new(),
        station: from.quantity("station"),
        clock_deg: from.number("clock", 0.0..=360.0),
        casing: casing?,
        path: path?,
        caption: caption?,
    })
}

fn strike(from: &mut Reader<'_>) -> Option<StrikeRecord> {
    let strikes = from.entry("entry");
    let reason = from.text("reason");
    Some(StrikeRecord { strikes: strikes?, reason: reason?, lifts_retirement: false })
}

fn prefire(from: &mut Reader<'_>) -> Option<PrefireRecord> {
    let casing = from.known("casing", SubjectOf::Casing);
    let load = from.known("load", SubjectOf::Load);
    let batch = from.known("batch", SubjectOf::Batch);
    let mode = from.word("mode", FiringMode::from_word);
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
        planned_for: chrono::NaiveDate::MIN,
        items,
        released: crate::book::Attested::Open,
        remark: from.text("remark"),
        casing: casing?,
        load: load?,
        mode: mode?,
    })
}

fn rule(from: &mut Reader<'_>) -> Option<RuleRecord> {
    let rule = from.text("rule");
    let value = from.number("value", 0.0..=1e9);
    let reason = from.text("reason");
    Some(RuleRecord { rule: rule?, value: value?, reason: reason? })
}
