//! The closed lists of the trade: every word the book knows, each with one meaning.

use crate::words;

words! {
    /// The kinds of entry.
    pub enum Kind {
        /// A casing's build record or a new revision of it.
        Casing = "casing",
        /// A part with its own serial and life.
        Part = "part",
        /// A part put into a casing or taken out.
        Fit = "fit",
        /// A hydrostatic test.
        Proof = "proof",
        /// A load: grain, propellant numbers, throat, planned peak.
        Load = "load",
        /// A batch of propellant, by its numbers only.
        Batch = "batch",
        /// A firing, on the stand or in flight.
        Firing = "firing",
        /// The raw file of a firing's trace and what it was reduced to.
        Trace = "trace",
        /// The strip-down inspection after a firing.
        Strip = "strip",
        /// Damage, with place, size and evidence.
        Finding = "finding",
        /// The decision: keep, watch, restrict, repair, hold, retire.
        Disposition = "disposition",
        /// Anything else worth a line; may carry an event that counts.
        Note = "note",
        /// A photograph by reference.
        Photo = "photo",
        /// A correction: crosses out an earlier entry and leaves it readable.
        Strike = "strike",
        /// A pre-fire checklist as it was run.
        Prefire = "prefire",
        /// A change of a club limit.
        Rule = "rule",
        /// An instrument with its calibration.
        Gauge = "gauge",
        /// Repeat readings that say what an instrument can see.
        Study = "study",
        /// Somebody who may sign.
        Person = "person",
    }

    /// What an entry can be about.
    pub enum SubjectOf {
        /// A casing serial.
        Casing = "casing",
        /// A part serial.
        Part = "part",
        /// A load by name.
        Load = "load",
        /// A batch by name.
        Batch = "batch",
        /// A club rule.
        Rule = "rule",
        /// An instrument by its mark.
        Gauge = "gauge",
        /// A person by name.
        Person = "person",
        /// The book itself.
        Book = "book",
    }

    /// Where a part sits.
    pub enum Position {
        /// The tube.
        Tube = "tube",
        /// The forward closure.
        ForwardClosure = "forward closure",
        /// The aft closure.
        AftClosure = "aft closure",
        /// The nozzle carrier.
        NozzleCarrier = "nozzle carrier",
        /// The throat insert.
        ThroatInsert = "throat insert",
        /// A set of rings.
        RingSet = "ring set",
        /// A set of bolts.
        BoltSet = "bolt set",
    }

    /// What an instrument is.
    pub enum Instrument {
        /// Reads pressure at the rig.
        PressureGauge = "pressure gauge",
        /// Outside diameters at marked stations and angles.
        Micrometer = "micrometer",
        /// Diameters, coarsely.
        Calipers = "calipers",
        /// Growth under pressure, left in place in a saddle.
        DialGauge = "dial gauge",
        /// The mean diameter only: blind to roundness.
        PiTape = "pi tape",
        /// Inside diameters.
        BoreGauge = "bore gauge",
        /// Throats and holes.
        Pins = "pin gauges",
        /// Water forced in and given back.
        Burette = "burette",
        /// Wall thickness from outside.
        Ultrasonic = "ultrasonic wall gauge",
        /// Hardness, relative to a reference point.
        HardnessTester = "hardness tester",
        /// Thrust.
        LoadCell = "load cell",
        /// Pressure of a firing.
        Transducer = "pressure transducer",
        /// Mass.
        Scale = "scale",
    }

    /// What somebody does in the club.
    pub enum Role {
        /// Owns or builds, and keeps the book.
        Keeper = "keeper",
        /// Turns the parts.
        Machinist = "machinist",
        /// Welds.
        Welder = "welder",
        /// Runs proofs and firings.
        Conductor = "test conductor",
        /// Sets the igniter.
        Ignition = "ignition person",
        /// Answers for safety on the day.
        Safety = "safety officer",
        /// Looks independently; not the only builder or loader.
        Inspector = "second inspector",
    }

    /// Put in or taken out.
    pub enum FitAction {
        /// Put in.
        Fitted = "fitted",
        /// Taken out.
        Removed = "removed",
    }

    /// On the stand or in the air.
    pub enum FiringMode {
        /// Held down on a stand.
        Static = "static",
        /// In flight.
        Flight = "flight",
    }

    /// How it came down.
    pub enum Landing {
        /// Under its parachute.
        Soft = "soft",
        /// Hard: check ovality before anything else.
        Hard = "hard",
        /// Never found.
        Lost = "lost",
    }

    /// Where a firing's peak pressure comes from.
    pub enum PeakFrom {
        /// A pressure channel.
        Pressure = "pressure channel",
        /// Worked back from thrust and throat.
        Thrust = "thrust",
        /// A scale's display on video: a lower bound.
        Video = "scale on video",
        /// Worked back from flight acceleration.
        Flight = "flight acceleration",
    }

    /// What the casing was pressed with.
    pub enum Medium {
        /// Water, the only medium this book accepts.
        Water = "water",
    }

    /// How growth was measured.
    pub enum ProofMethod {
        /// In a water jacket, by burette.
        Jacket = "water jacket",
        /// By the water forced in, its compression taken off.
        Direct = "direct expansion",
        /// By diameters at stations only.
        Diameters = "diameters only",
    }

    /// The decision on a casing or part. Later words are stronger.
    pub enum Decision {
        /// Fit for use as before.
        Keep = "keep",
        /// Fit for use, with an extra check.
        Watch = "watch",
        /// Fit for less than before.
        Restrict = "restrict",
        /// Not until repaired and proved again.
        Repair = "repair",
        /// Not until somebody decides.
        Hold = "hold",
        /// Never again.
        Retire = "retire",
    }

    /// Things that happened to a casing and count, whatever else a note says.
    pub enum Event {
        /// Hotter than it should have been.
        Heat = "heat",
        /// Dropped, crashed, struck.
        Impact = "impact",
        /// Pressure above what was planned, by any evidence.
        OverPressure = "over-pressure",
        /// Machined, welded or repaired.
        Machining = "machining",
        /// Time or firings nobody can account for.
        HistoryGap = "history gap",
        /// Another owner.
        Owner = "change of owner",
    }

    /// What an inspection item came to.
    pub enum Outcome {
        /// Looked at and as it should be.
        Good = "good",
        /// Something was found: a finding entry says what.
        Finding = "finding",
        /// Not looked at. Keeps the casing on hold where a rule needs it.
        NotMeasured = "not measured",
        /// This casing has no such thing.
        NotApplicable = "not applicable",
    }

    /// How somebody stands to a checklist item.
    pub enum Attested {
        /// Seen and as it should be.
        Yes = "yes",
        /// Seen and not as it should be.
        No = "no",
        /// Not looked at yet.
        Open = "open",
    }

    /// How sure the standing of a casing is, worst first.
    pub enum Standing {
        /// Never again.
        Retired = "retired",
        /// Unknown, or a decision outstanding.
        Hold = "hold",
        /// Proof or inspection due by date, count or event.
        Overdue = "overdue",
        /// No passing proof of this build.
        Unproved = "unproved",
        /// Fit for less than its design.
        Restricted = "restricted",
        /// Fit, with something to keep an eye on.
        Watch = "watch",
        /// Nothing on record stands against it.
        InService = "in service",
    }
}

impl Standing {
    /// The sign beside the word, so that colour never carries it alone.
    pub const fn sign(self) -> &'static str {
        match self {
            Self::Retired => "x",
            Self::Hold => "!",
            Self::Overdue => ">",
            Self::Unproved => "?",
            Self::Restricted => "-",
            Self::Watch => "~",
            Self::InService => "=",
        }
    }

    /// Whether it stops every firing, whatever the load.
    pub const fn forbids(self) -> bool {
        matches!(self, Self::Retired | Self::Hold | Self::Overdue | Self::Unproved)
    }
}

impl Position {
    /// Whether changing it makes another pressure vessel, which needs its own proof.
    pub const fn holds_pressure(self) -> bool {
        matches!(self, Self::Tube | Self::ForwardClosure | Self::AftClosure | Self::NozzleCarrier)
    }
}
