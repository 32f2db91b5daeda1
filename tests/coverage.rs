//! Whether an interval of 80 % holds the truth 80 % of the time, over a thousand
//! simulated tins, before and after learning.
//!
//! The generator is our own and shares nothing with the engine but the types at
//! its door: its own random numbers, its own temperatures, its own Arrhenius sum
//! in small steps, its own gas constant (CODATA). A tin's truth is drawn from
//! what the card believes: three normal distributions whose middle 80 % are the
//! card's band (in logarithms, ±atanh(0.30)), its energies (39.9 to 59.5 kJ/mol)
//! and its exponents (0.8 to 1.2). Each cure scatters by 8 % (normal, in the
//! logarithm of its age) and is seen through a thermometer that is read every
//! quarter of an hour and off by 0.5 K (normal) each time. What is predicted is a
//! cure that was not seen, its scatter included, at another temperature and level.

use benchtide::engine::history::TemperatureHistory;
use benchtide::engine::learning::{Conditions, Observation, Prior, learn};
use benchtide::engine::quantity::{Celsius, Instant, KilojoulesPerMole, Minutes, Span};

const TINS: usize = 1_000;
const START: Instant = Instant(1_700_000_000_000);
/// Normal quantile of 0.9 (tables).
const NORMAL_90: f64 = 1.281_551_6;
const BAND: f64 = 0.30;
const ENERGY: [f64; 3] = [39.9, 49.7, 59.5];
const EXPONENT: [f64; 3] = [0.8, 1.0, 1.2];
const SCATTER: f64 = 0.08;
const THERMOMETER: f64 = 0.5;

/// Random numbers: xorshift64* (Vigna 2016), and Box and Muller's normals.
struct Dice(u64);

impl Dice {
    fn uniform(&mut self) -> f64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        ((self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.uniform()
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * self.uniform().ln()).sqrt() * (std::f64::consts::TAU * self.uniform()).cos()
    }
}

/// The truth about a tin.
struct Tin {
    ln_slowness: f64,
    energy: f64,
    exponent: f64,
}

impl Tin {
    fn drawn(dice: &mut Dice) -> Self {
        let mut of =
            |[low, likely, high]: [f64; 3]| likely + (high - low) / 2.0 / NORMAL_90 * dice.normal();
        let band = (2.0 * BAND / (1.0 - BAND) + 1.0).ln() / 2.0;
        Self { ln_slowness: of([-band, 0.0, band]), energy: of(ENERGY), exponent: of(EXPONENT) }
    }

    /// Minutes until an age of `reference` at 20 °C, step by step, with `scatter`.
    fn takes(&self, reference: f64, air: &Air, level: f64, scatter: f64) -> f64 {
        let wanted = reference * (self.ln_slowness + scatter).exp() / level.powf(self.exponent);
        let (mut age, mut minute, step) = (0.0, 0.0, 0.5);
        loop {
            let kelvin = 273.15 + air.at(minute + step / 2.0);
            let gained =
                step * (self.energy / 8.314_462_618e-3 * (1.0 / 293.15 - 1.0 / kelvin)).exp();
            if age + gained >= wanted {
                return minute + step * (wanted - age) / gained;
            }
            age += gained;
            minute += step;
        }
    }
}

/// A workshop's air: a base, a drift and the swing of a thermostat.
struct Air {
    base: f64,
    drift: f64,
    swing: f64,
    phase: f64,
}

impl Air {
    fn drawn(dice: &mut Dice, low: f64, high: f64) -> Self {
        Self {
            base: dice.between(low, high),
            drift: dice.between(-0.03, 0.03),
            swing: dice.between(0.0, 1.5),
            phase: dice.between(0.0, std::f64::consts::TAU),
        }
    }

    /// Degrees at a minute; the drift ends after two hours.
    fn at(&self, minute: f64) -> f64 {
        self.base + self.drift * minute.min(120.0) + self.swing * (minute / 20.0 + self.phase).sin()
    }

    /// What the thermometer said, every quarter of an hour until after the end.
    fn read(&self, dice: &mut Dice, until: f64) -> TemperatureHistory {
        let readings = (0..=(until / 15.0).ceil() as i32).map(|quarter| {
            let minute = 15.0 * f64::from(quarter);
            let read = self.at(minute) + THERMOMETER * dice.normal();
            (START + Minutes(minute), Celsius(read))
        });
        TemperatureHistory::new(readings).unwrap()
    }
}

/// Mean of the readings of a cure: what somebody takes its temperature to be.
fn mean(history: &TemperatureHistory) -> Celsius {
    let points = history.points();
    Celsius(points.iter().map(|(_, t)| t.value()).sum::<f64>() / points.len() as f64)
}

struct Seen {
    took: f64,
    reference: f64,
    level: f64,
    history: TemperatureHistory,
}

impl Seen {
    fn drawn(dice: &mut Dice, tin: &Tin, temperatures: [f64; 2], levels: [f64; 2]) -> Self {
        let air = Air::drawn(dice, temperatures[0], temperatures[1]);
        let level = dice.between(levels[0], levels[1]);
        let reference = [25.0, 50.0, 75.0][(dice.uniform() * 3.0) as usize];
        let took = tin.takes(reference, &air, level, SCATTER * dice.normal());
        Self { took, reference, level, history: air.read(dice, took) }
    }

    fn observation(&self) -> Observation<'_> {
        Observation {
            started: START,
            seen: START + Minutes(self.took),
            not_yet: None,
            reference: Minutes(self.reference),
            temperature: &self.history,
            level_ratio: Some(self.level),
        }
    }
}

#[test]
fn an_interval_of_80_percent_holds_four_times_out_of_five_and_the_error_halves() {
    let spans = |[low, likely, high]: [f64; 3]| Span { low, likely, high };
    let prior = Prior {
        slowness_band: BAND,
        energy: spans(ENERGY).map(KilojoulesPerMole),
        exponent: spans(EXPONENT),
        reference: Celsius(20.0),
        carried: None,
    };
    let counts = [0, 3, 6];
    let mut held = [0_usize; 3];
    let mut errors = [const { Vec::new() }; 3];
    let mut blamed = 0;
    let dice = &mut Dice(0x5EED_0F7A_B1E5);
    for _ in 0..TINS {
        let tin = Tin::drawn(dice);
        let seen: Vec<Seen> =
            (0..6).map(|_| Seen::drawn(dice, &tin, [16.0, 24.0], [0.8, 1.25])).collect();
        // Colder or warmer than most that were seen, and another level.
        let cold = dice.uniform() < 0.5;
        let temperatures = if cold { [13.0, 16.0] } else { [24.0, 27.0] };
        let fresh = Seen::drawn(dice, &tin, temperatures, [0.75, 1.25]);
        let observations: Vec<_> = seen.iter().map(Seen::observation).collect();
        for (index, count) in counts.into_iter().enumerate() {
            let learnt = learn(&prior, &observations[..count]);
            let over =
                Conditions { temperature: mean(&fresh.history), level_ratio: Some(fresh.level) };
            let told = learnt.belief().time_factor(over).map(|factor| fresh.reference * factor);
            held[index] += usize::from(told.low <= fresh.took && fresh.took <= told.high);
            errors[index].push((fresh.took / told.likely).ln().abs());
            if count == 6 {
                blamed += learnt.points().iter().filter(|point| point.outlier.is_some()).count();
            }
        }
    }
    let median = errors.map(|mut errors: Vec<f64>| {
        errors.sort_by(f64::total_cmp);
        errors[TINS / 2]
    });
    let share = held.map(|held| 100.0 * held as f64 / TINS as f64);
    println!("held after 0, 3, 6: {share:?} %; median error {median:?}; outliers {blamed} of 6000");
    for share in share {
        assert!((75.0..=85.0).contains(&share), "{share} % held");
    }
    assert!(median[1] <= median[0] / 2.0, "{median:?}");
    assert!(median[2] <= median[1], "{median:?}");
    // Nothing was wrong with any of them: few may be called wrong.
    assert!(blamed <= 120, "{blamed} of 6000 blamed");
}
