//! How far a firing may lie from the plan: many draws of the same load, each cause scattered.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde::Serialize;

use super::burn::Prediction;
use super::chance::{Chance, chance_over};
use super::load::{Limits, Load, Spread};
use super::sensitivity::{Cause, causes};
use crate::design::InputError;
use crate::design::error::{positive, within};
use crate::quantity::{AbsolutePressure, GaugePressure, Quantity, Typed};

/// The most draws that are made at once.
const MOST_DRAWS: u32 = 10_000_000;

/// Words of 32 bits a draw is made from: six uniform values for six normal ones, and one for the chance.
const WORDS_A_DRAW: u128 = 14;

/// Fewer draws than this are not worth a thread of their own.
const LEAST_A_THREAD: usize = 4096;

/// Shares of the draws a quantile is given for.
const QUANTILES: [f64; 7] = [0.01, 0.05, 0.25, 0.5, 0.75, 0.95, 0.99];

/// A peak pressure that a share of the draws stays at or under.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Quantile {
    /// The share.
    pub share: f64,
    /// The pressure, gauge.
    pub peak_pressure_pa: GaugePressure,
}

/// The peak pressures of many draws.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scatter {
    /// How many.
    pub draws: u32,
    /// What they were drawn from.
    pub seed: u64,
    /// Mean, gauge.
    pub peak_pressure_mean_pa: GaugePressure,
    /// Standard deviation.
    pub peak_pressure_sd_pa: GaugePressure,
    /// Quantiles, lowest first.
    pub quantiles: Vec<Quantile>,
    /// Share of the draws over MEOP, where one was given.
    pub chance_over_meop: Option<f64>,
    /// Share of the draws over the last proof, where one was given.
    pub chance_over_proof: Option<f64>,
    /// Share of the draws over the yield pressure, where one was given.
    pub chance_over_yield: Option<f64>,
    /// The same three, worked out instead of drawn ([`chance_over`]): for what is too rare to be drawn, and for
    /// what an ordinary firing does without the tail of hard starts.
    pub worked_out: WorkedOut,
    /// The chance of a hard start in it.
    pub hard_start_chance: f64,
    /// What drives it, the greatest share first.
    pub causes: Vec<Cause>,
}

/// The chances of passing each limit that was given, worked out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct WorkedOut {
    /// Over MEOP.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_meop: Option<Chance>,
    /// Over the last proof.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_proof: Option<Chance>,
    /// Over the yield pressure.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub over_yield: Option<Chance>,
}

/// The chances of passing the load's limits, worked out.
pub fn worked_out(load: &Load, plan: &Prediction, spread: &Spread) -> WorkedOut {
    let over = |limit: &Option<Typed<GaugePressure>>| {
        let limit_pa = limit.as_ref()?.si() + plan.ambient_pa.si();
        let limit = AbsolutePressure::from_si(limit_pa);
        Some(chance_over(plan.peak_pressure_absolute_pa, limit, spread, load.propellant.exponent))
    };
    let Limits { meop, proof, yield_pressure } = &load.limits;
    WorkedOut { over_meop: over(meop), over_proof: over(proof), over_yield: over(yield_pressure) }
}

/// Scatters the peak pressure of a plan.
///
/// Formula: a draw multiplies the planned ABSOLUTE peak by ((1 + burn_rate z1)(1 + burning_area z2)
/// (1 + characteristic_velocity z3)/(1 + throat z4)^2)^(1/(1 - n)) (1 + model z5), z standard normal. In the
/// quasi-steady model that is exact for the whole burn, because each of these factors holds throughout; so a
/// draw costs one power and not one burn. With `hard_start_chance` a draw is, that often, also multiplied by a
/// lognormal ratio of median `hard_start_ratio` and `hard_start_sigma`.
/// Arguments: the load with its `[scatter]`; its prediction; 1 to 10,000,000 draws; a seed. Draw i is
/// made from the words 14 i to 14 i + 13 of ChaCha8 keyed by the seed: the same on any number of threads.
/// Valid for independent causes, one sigma up to 0.3 each (factors are kept above 0.05); a chance below about
/// 10/draws is not resolved. Errors: no `[scatter]`, values outside those.
/// Source: propagation of independent errors; sigmas are the club's own measurements.
///
/// ```
/// # let text = r#"
/// # [grain]
/// # count = 4
/// # outside_diameter = "43 mm"
/// # core = "16 mm"
/// # length = "75 mm"
/// # [propellant]
/// # density = "1680 kg/m3"
/// # characteristic_velocity = "1370 m/s"
/// # burn_rate = "7.0 mm/s at 5 MPa"
/// # exponent = 0.36
/// # ratio_of_heats = 1.2
/// # [nozzle]
/// # throat = "27/64 in"
/// # area_ratio = 8
/// # [scatter]
/// # burn_rate = 0.03
/// # "#;
/// use proofmark::ballistics::{Load, predict, scatter};
/// let load = Load::from_toml(text).map_err(|it| it.to_string())?; // burn_rate = 0.03, exponent 0.36
/// let plan = predict(&load).map_err(|it| it.to_string())?;
/// let found = scatter(&load, &plan, 20_000, 7).map_err(|it| it.to_string())?;
/// let relative = found.peak_pressure_sd_pa.as_mpa() / plan.peak_pressure_absolute_pa.as_mpa();
/// assert!((relative - 0.03 / 0.64).abs() < 0.001);
/// # Ok::<(), String>(())
/// ```
pub fn scatter(load: &Load, plan: &Prediction, draws: u32, seed: u64) -> Result<Scatter, InputError> {
    scatter_on(load, plan, draws, seed, std::thread::available_parallelism().map_or(1, usize::from))
}

/// The same on a stated number of threads, which changes nothing but the time it takes.
///
/// # Errors
/// As [`scatter`].
pub fn scatter_on(
    load: &Load,
    plan: &Prediction,
    draws: u32,
    seed: u64,
    threads: usize,
) -> Result<Scatter, InputError> {
    let Some(spread) = load.scatter else {
        return Err(InputError::missing("scatter", "a [scatter] table, such as burn_rate = 0.03"));
    };
    if !(1..=MOST_DRAWS).contains(&draws) {
        return Err(InputError::outside("draws", draws, "1 to 10,000,000 draws"));
    }
    let draw = Draw::new(&spread, load.propellant.exponent)?;
    let (peak_pa, ambient_pa) = (plan.peak_pressure_absolute_pa.si(), plan.ambient_pa.si());
    let key = ChaCha8Rng::seed_from_u64(seed);
    let mut peaks_pa = vec![0.0; draws as usize];
    let each = peaks_pa.len().div_ceil(threads.clamp(1, 256)).max(LEAST_A_THREAD);
    std::thread::scope(|scope| {
        for (number, piece) in peaks_pa.chunks_mut(each).enumerate() {
            let (draw, key) = (&draw, &key);
            scope.spawn(move || {
                let mut stream = key.clone();
                stream.set_word_pos(WORDS_A_DRAW * (number * each) as u128);
                for peak in piece.iter_mut() {
                    *peak = peak_pa * draw.factor(&mut stream) - ambient_pa;
                }
                piece.sort_unstable_by(f64::total_cmp);
            });
        }
    });
    // Runs that are sorted already: the stable sort merges them. Sums are over the sorted peaks, so that not even
    // their last digit depends on how many threads there were.
    peaks_pa.sort_by(f64::total_cmp);
    let count = f64::from(draws);
    let mean_pa = peaks_pa.iter().sum::<f64>() / count;
    let square_pa2 = peaks_pa.iter().map(|it| (it - mean_pa).powi(2)).sum::<f64>();
    let sd_pa = (square_pa2 / (count - 1.0).max(1.0)).sqrt();
    let chance = |limit: &Option<Typed<GaugePressure>>, input| match limit {
        None => Ok(None),
        Some(limit) => {
            let limit_pa = positive(input, limit.value)?;
            let under = peaks_pa.partition_point(|it| *it <= limit_pa);
            Ok(Some((peaks_pa.len() - under) as f64 / count))
        }
    };
    let Limits { meop, proof, yield_pressure } = &load.limits;
    Ok(Scatter {
        draws,
        seed,
        peak_pressure_mean_pa: GaugePressure::from_si(mean_pa),
        peak_pressure_sd_pa: GaugePressure::from_si(sd_pa),
        quantiles: QUANTILES
            .into_iter()
            .map(|share| Quantile {
                share,
                peak_pressure_pa: GaugePressure::from_si(quantile(&peaks_pa, share)),
            })
            .collect(),
        chance_over_meop: chance(meop, "limits.meop")?,
        chance_over_proof: chance(proof, "limits.proof")?,
        chance_over_yield: chance(yield_pressure, "limits.yield")?,
        worked_out: worked_out(load, plan, &spread),
        hard_start_chance: spread.hard_start_chance,
        causes: causes(&spread, load.propellant.exponent),
    })
}

/// The value a share of sorted values stays at or under, straight between neighbours.
fn quantile(sorted: &[f64], share: f64) -> f64 {
    let place = share * (sorted.len().saturating_sub(1)) as f64;
    let below = sorted.get(place.floor() as usize).copied().unwrap_or(0.0);
    let above = sorted.get(place.ceil() as usize).copied().unwrap_or(below);
    below + (above - below) * place.fract()
}

/// What a draw is made with.
struct Draw {
    spread: Spread,
    power: f64,
    hard_start_log: f64,
}

impl Draw {
    fn new(spread: &Spread, exponent: f64) -> Result<Self, InputError> {
        for (input, sigma) in [
            ("scatter.burn_rate", spread.burn_rate),
            ("scatter.burning_area", spread.burning_area),
            ("scatter.characteristic_velocity", spread.characteristic_velocity),
            ("scatter.throat", spread.throat),
            ("scatter.model", spread.model),
        ] {
            within(input, sigma, 0.0, 0.3, "one sigma as a share, 0 to 0.3; 3 % is 0.03")?;
        }
        let accepted = "a chance from 0 to 1";
        let chance = within("scatter.hard_start_chance", spread.hard_start_chance, 0.0, 1.0, accepted)?;
        let mut hard_start_log = 0.0;
        if chance > 0.0 {
            let accepted = "the median peak of a hard start over the planned one, 0.5 to 10";
            hard_start_log =
                within("scatter.hard_start_ratio", spread.hard_start_ratio, 0.5, 10.0, accepted)?.ln();
            let accepted = "one sigma of the logarithm, 0 to 1";
            within("scatter.hard_start_sigma", spread.hard_start_sigma, 0.0, 1.0, accepted)?;
        }
        Ok(Self { spread: *spread, power: 1.0 / (1.0 - exponent), hard_start_log })
    }

    /// The peak of the next draw over the planned one; takes exactly [`WORDS_A_DRAW`] words.
    fn factor(&self, stream: &mut ChaCha8Rng) -> f64 {
        let [rate, area] = normal_pair(stream);
        let [cstar, throat] = normal_pair(stream);
        let [model, hard] = normal_pair(stream);
        let chance = uniform(stream);
        let it = &self.spread;
        let near = |sigma: f64, z: f64| (1.0 + sigma * z).max(0.05);
        let load =
            near(it.burn_rate, rate) * near(it.burning_area, area) * near(it.characteristic_velocity, cstar)
                / near(it.throat, throat).powi(2);
        let hard_start = if chance <= it.hard_start_chance && it.hard_start_chance > 0.0 {
            (self.hard_start_log + it.hard_start_sigma * hard).exp()
        } else {
            1.0
        };
        load.powf(self.power) * near(it.model, model) * hard_start
    }
}

/// Above 0 and up to 1, from the top 53 bits.
fn uniform(stream: &mut ChaCha8Rng) -> f64 {
    ((stream.next_u64() >> 11) + 1) as f64 / (1u64 << 53) as f64
}

/// Two standard normal values (Box and Muller 1958).
fn normal_pair(stream: &mut ChaCha8Rng) -> [f64; 2] {
    let radius = (-2.0 * uniform(stream).ln()).sqrt();
    let (sin, cos) = (std::f64::consts::TAU * uniform(stream)).sin_cos();
    [radius * cos, radius * sin]
}
