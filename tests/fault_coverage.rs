//! Every way that work fails has something in the methods that guards it.
//!
//! The faults and what prevents each one are those of the trade reference's
//! table of failures, `common practice` of the trade throughout (P24 for 4, P12
//! for 20 in part). A stage guards a fault when it names its number and has a
//! line, a gate, a clock or an amount of the kind that prevents it. Run with
//! `--nocapture` to read the table.

use benchtide::trade::model::{Family, Gate, Kind, Method, Stage};
use benchtide::trade::rules;
use std::collections::BTreeSet;
use std::fmt::Write;

/// What prevents a fault.
struct Remedy {
    fault: u8,
    /// Any of these in a line to tick.
    lines: &'static [&'static str],
    /// Any of these windows, waited for or started.
    windows: &'static [&'static str],
    /// Amount rules; "batch" stands for a batch card, with its bounds.
    amounts: &'static [&'static str],
    /// A gate, and the kinds of material whose limits it must go by.
    gate: Option<(Gate, &'static [Kind])>,
}

const fn remedy(fault: u8, lines: &'static [&'static str]) -> Remedy {
    Remedy { fault, lines, windows: &[], amounts: &[], gate: None }
}

const FILM: &[Kind] = &[Kind::Polyester, Kind::Epoxy];

/// The remedies of the trade reference's table of failures, fault by fault.
const REMEDIES: [Remedy; 26] = [
    Remedy {
        windows: &["next", "ready"],
        ..remedy(1, &["test patch", "sealed", "sealer", "trial of"])
    },
    Remedy { amounts: &["batch"], ..remedy(2, &["weighed", "scraped", "second tub", "streaks"]) },
    Remedy { amounts: &["batch"], ..remedy(3, &["weighed", "label", "use-by", "ratio"]) },
    Remedy { windows: &["overcoat"], ..remedy(4, &["deepest corner", "film", "wrinkles"]) },
    Remedy {
        amounts: &["batch"],
        gate: Some((Gate::ResinFilm, FILM)),
        ..remedy(5, &["15 C or more", "wiped dry"])
    },
    Remedy {
        amounts: &["batch"],
        windows: &["overcoat"],
        ..remedy(6, &["film", "no puddles", "no pools"])
    },
    Remedy {
        windows: &["pot"],
        ..remedy(7, &["bridge", "rolled out", "tapped", "white gone", "corners"])
    },
    Remedy { amounts: &["batch"], windows: &["pot"], ..remedy(8, &["tubs", "tub spread"]) },
    Remedy {
        amounts: &["K-LAYER"],
        windows: &["overcoat", "recoat"],
        ..remedy(9, &["limit", "cool", "heat", "no pool", "scorch"])
    },
    Remedy { windows: &["trim"], ..remedy(10, &["trim falls"]) },
    Remedy { windows: &["trim"], ..remedy(11, &["test cut"]) },
    Remedy {
        windows: &["part", "demould", "handle", "hard", "full", "jacket", "chip"],
        ..remedy(12, &["hard", "flat", "supported", "cool", "bolted", "tight"])
    },
    remedy(13, &["undercut", "draws off", "straight", "pull", "keys"]),
    Remedy {
        windows: &["next", "gel-coat", "ready"],
        ..remedy(14, &["counted", "waxed", "soaped", "separator", "covered", "release", "stuck"])
    },
    remedy(15, &["sealed", "closed", "min: level", "level steady", "clay ball", "tray"]),
    Remedy {
        amounts: &["K-UPLIFT"],
        ..remedy(16, &["strapped", "screwed", "held down", "lift", "weighed"])
    },
    remedy(17, &["vent", "bubble", "splash", "brushed", "washed", "misted", "detail"]),
    remedy(18, &["pinned", "pin reading", "8 places"]),
    Remedy {
        windows: &["damp", "age"],
        ..remedy(19, &["damp", "film tucked", "covered", "re-wet", "mended"])
    },
    Remedy {
        gate: Some((Gate::ResinFilm, FILM)),
        ..remedy(20, &["dew point", "at room temperature"])
    },
    Remedy {
        gate: Some((Gate::ResinFilm, &[Kind::Epoxy])),
        ..remedy(21, &["greasy", "dry and warm"])
    },
    Remedy {
        windows: &["overcoat", "recoat", "next"],
        ..remedy(22, &["abraded", "coat before", "layer before", "coats hold", "gelled", "tacky"])
    },
    Remedy {
        amounts: &["batch", "K-PLAS"],
        ..remedy(23, &["weighed", "fresh", "clean of old plaster"])
    },
    Remedy {
        windows: &["pour", "strike"],
        ..remedy(24, &["powder wet", "stirred up again", "stretched", "fresh mix"])
    },
    Remedy {
        gate: Some((Gate::Rubber, &[Kind::Polyurethane])),
        ..remedy(25, &["dry", "lids", "no wood", "humidity", "opened", "days open", "foam"])
    },
    remedy(26, &["goggles", "gloves", "skin", "respirator", "mask", "hand in", "nobody"]),
];

/// The families that may cure in a stage, or play one of its materials.
fn families(method: &Method, stage: &Stage) -> Vec<&'static Family> {
    let cures = stage.cures.iter().map(|cure| (&cure.role, &cure.family));
    let used = stage.materials.iter().map(|used| (&used.role, &used.family));
    let of_role = |id: &str| method.roles.iter().find(|role| role.id == id);
    cures
        .chain(used)
        .flat_map(|(role, family)| {
            let played = role.as_deref().and_then(of_role).map(|role| role.families.clone());
            played.into_iter().flatten().chain(family.clone())
        })
        .filter_map(|id| rules().family(&id))
        .collect()
}

/// Windows that ring in a stage: of the clocks that it starts, and those it
/// waits for.
fn windows<'m>(method: &'m Method, stage: &'m Stage) -> BTreeSet<(&'m str, &'m str)> {
    let started = stage.cures.iter().flat_map(|cure| {
        let role = method.roles.iter().find(|role| Some(&role.id) == cure.role.as_ref());
        let family = cure.family.as_ref().or(role.map(|role| &role.default));
        let profile = family.and_then(|id| rules().family(id)?.profile(&cure.profile));
        let windows = profile.into_iter().flat_map(|profile| &profile.windows);
        windows.map(|window| (cure.id.as_str(), window.id.as_str()))
    });
    let waited = stage.waits.iter().map(|wait| (wait.cure.as_str(), wait.window.as_str()));
    started.chain(waited).collect()
}

/// What one stage has against a fault, by kind: lines, gate, clocks, amounts.
fn guards(method: &Method, stage: &Stage, remedy: &Remedy) -> [Vec<String>; 4] {
    let lines = stage.checks.iter().filter(|check| {
        let text = check.text.to_lowercase();
        remedy.lines.iter().any(|words| text.contains(&words.to_lowercase()))
    });
    // A must is marked as the trade reference marks it.
    let lines = lines.map(|check| format!("{}{}", check.id, if check.must { "!" } else { "" }));
    // A stage that only prepares a film has no material of its own: its gate
    // goes by a role of the method.
    let gate = remedy.gate.filter(|(gate, kinds)| {
        let own = families(method, stage);
        let roles = method.roles.iter().filter_map(|role| rules().family(&role.default));
        let of_kind = |family: &&Family| kinds.contains(&family.kind);
        let fits = own.iter().copied().any(|f| of_kind(&f))
            || (stage.cures.is_empty() || own.iter().all(|f| f.kind == Kind::Release))
                && roles.into_iter().any(|f| of_kind(&f));
        stage.gate == Some(*gate) && fits
    });
    let clocks = windows(method, stage);
    let clocks = clocks.iter().filter(|(_, window)| remedy.windows.contains(window));
    let amounts = stage.materials.iter().filter_map(|used| {
        let rule = used.rule.as_deref()?;
        let found =
            remedy.amounts.contains(&rule) || used.batch && remedy.amounts.contains(&"batch");
        found.then(|| if used.batch { format!("{rule} batch") } else { rule.to_owned() })
    });
    let amounts: BTreeSet<String> = amounts.collect();
    [
        lines.collect(),
        gate.map(|(gate, _)| format!("{gate:?}")).into_iter().collect(),
        clocks.map(|(cure, window)| format!("{cure}:{window}")).collect(),
        amounts.into_iter().collect(),
    ]
}

#[test]
fn every_fault_has_a_remedy_here() {
    let faults: Vec<u8> = rules().faults.iter().map(|fault| fault.id).collect();
    let remedies: Vec<u8> = REMEDIES.iter().map(|remedy| remedy.fault).collect();
    assert_eq!(faults, remedies);
}

#[test]
fn every_fault_is_guarded_by_a_stage() {
    let mut table = String::new();
    let mut unguarded = Vec::new();
    for (fault, remedy) in rules().faults.iter().zip(&REMEDIES) {
        let mut counts = [0_usize; 4];
        let mut rows = String::new();
        let mut idle = Vec::new();
        for method in &rules().methods {
            for stage in method.stages.iter().filter(|stage| stage.faults.contains(&fault.id)) {
                let found = guards(method, stage, remedy);
                if found.iter().all(Vec::is_empty) {
                    idle.push(stage.id.as_str());
                    continue;
                }
                let found_of = |kind: usize, name: &str| {
                    let all = found[kind].join(" ");
                    if all.is_empty() { all } else { format!("  {name} {all}") }
                };
                let row: String = ["lines", "gate", "clocks", "amounts"]
                    .iter()
                    .enumerate()
                    .map(|(kind, name)| found_of(kind, name))
                    .collect();
                writeln!(rows, "     {}{row}", stage.id).expect("a string takes it");
                for (count, of_kind) in counts.iter_mut().zip(&found) {
                    *count += of_kind.len();
                }
            }
        }
        let [lines, gates, clocks, amounts] = counts;
        writeln!(
            table,
            "{:>2}. {}: {lines} lines, {gates} gates, {clocks} clocks, {amounts} amounts\n{rows}",
            fault.id, fault.title
        )
        .expect("a string takes it");
        if !idle.is_empty() {
            writeln!(table, "     named without a remedy of its own: {}", idle.join(" "))
                .expect("a string takes it");
        }
        if counts == [0; 4] {
            unguarded.push(format!("{}. {}", fault.id, fault.title));
        }
    }
    println!("{table}");
    assert!(unguarded.is_empty(), "nothing guards against:\n{}", unguarded.join("\n"));
}
