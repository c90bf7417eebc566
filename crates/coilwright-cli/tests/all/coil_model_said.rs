//! What `coil model` refuses, says and draws.

use crate::coil_model::{LOCK, run};
use crate::coilwright;

/// What cannot be, the option that is named, and part of the remedy.
const REFUSED: &str = "\
solenoid --diameter 20e-3 --turns 50 | --wire | --gauge
solenoid --diameter 20e-3 --turns 50 --wire 2e-3 | --wire or --gauge | --strands
solenoid --diameter 20e-3 --turns 50 --wire 0.2 | --wire | metres
solenoid --diameter 20e-3 --turns 50 --wire 0.3e-3 --pitch 0.2e-3 | --pitch | leave it out
solenoid --diameter 20e-3 --turns 0 --wire 0.3e-3 | --turns | from 1 up
solenoid --diameter 20e-3 --turns 9999 --wire 0.3e-3 | --turns | give the turns
multilayer --diameter 20e-3 --turns 10 --layers 6 --wire 0.3e-3 | --layers | change --layers
loop --diameter 0.3 --gauge 57 | --gauge | other sizes with --wire
loop --diameter 0.3 --wire 0.1 | --wire or --gauge | thinner wire
loop --diameter 0.3 --wire 1e-4 --strands 30 --bundle 2e-4 | --bundle | larger bundle
LOOP --temperature 300 | --temperature | -60 to 200
rectangle --width 0.2 --height 0.1 --turns 60 --wire 0.3e-3 | --turns | fewer turns
rectangle --width 0.2 --height 0.1 --turns 300 --wire 0.3e-3 | --turns | measure
spiral --inner 40e-3 --outer 10e-3 --turns 20 | --inner | exchange
spiral --inner 10e-3 --outer 40e-3 --turns 20 --wire 1e-3 | --turns | fewer turns
spiral --inner 10e-3 --outer 40e-3 --turns 20.5 --wire 1e-4 | --turns | whole turns
spiral --inner 39e-3 --outer 40e-3 --turns 3 | --inner | multilayer
spiral --inner 10e-3 --outer 40e-3 --turns 20 --drive 5 | --drive | --coil-ohm
spiral --inner 1e-2 --outer 4e-2 --turns 9 --outline square --distance 0.1 | --distance | round
rod --length 1e-3 --diameter 1e-3 --permeability 400 | --length | measure
LOOP --plate-gap 1e-3 | --plate-gap | measure it
LOOP --plate-gap 0.1 --ring-diameter 0.4 | --plate-gap | cannot be used
LOOP --plate-gap 0.1 --metal-permeability 0.5 | --metal-permeability | magnet
LOOP --ring-diameter 0.3 | --ring-diameter | out of the winding
LOOP --ring-diameter 5e-3 | --ring-wire, against --ring-diameter | thinner ring
LOOP --distance 0 --key-diameter 0.3 | --distance | second coil out
LOOP --bit-rate 1e5 | --bit-rate | such as 1953
LOOP --tank parallel --drive 5 | --tank parallel | --series-ohm
LOOP --tolerance inductance | --tolerance | inductance=3%
LOOP --tolerance inductance=200% | --tolerance | below 100 %
LOOP --tolerance inductance=1%,inductance=2% | --tolerance | leave one out
LOOP --tolerance series=1% | --tolerance series | --series-ohm
LOOP --tolerance capacitance=1% --trials 9 | --trials | 100
LOOP --key-needs 4 | --distance | required
LOOP --drive 5 --distance 0.1 --key-needs 4 --tilt 90 | --tilt | right angle
LOOP --distance 0 --key-diameter 0.3 --key-length 0 | --key-length | above 0";

#[test]
fn refusals_name_the_option_and_the_remedy() {
    for line in REFUSED.lines() {
        let mut fields = line.split(" | ");
        let mut field = || fields.next().unwrap();
        let (words, option, remedy) = (field(), field(), field());
        let run = run(&words.replace("LOOP", "loop --diameter 0.3 --wire 1e-3"));
        let said: Vec<&str> = run.messages.split_whitespace().collect();
        let said = said.join(" ");
        assert_eq!(run.code, 2, "{words}: {}", run.data);
        assert!(run.data.is_empty(), "{words}");
        assert!(said.contains(option), "{words}: {said}");
        assert!(said.contains(remedy), "{words}: {said}");
    }
}

#[test]
fn the_text_of_a_driven_antenna_with_a_key_and_metal() {
    let run = run(&format!(
        "{LOCK} --drive 5 --series-ohm 20 --bit-rate 1953.125 --distance 12e-3 --key-q 20 --key-needs 4 --ring-diameter 60e-3 --tolerance inductance=3%,capacitance=5%"
    ));
    assert_eq!(run.code, 0, "{}", run.messages);
    assert!(
        run.data.lines().all(|line| line.chars().count() <= 80),
        "{}",
        run.data
    );
    insta::assert_snapshot!(run.data);
}

#[test]
fn pictures_of_models_and_of_a_pickup() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("drawn.svg");
    let path = path.to_str().unwrap();
    let svg = |words: &str| {
        let run = run(&format!("{words} --plot {path} --force"));
        assert_eq!(run.code, 0, "{words}: {}", run.messages);
        let svg = std::fs::read_to_string(path).unwrap();
        assert!(svg.ends_with("</svg>\n") && !svg.contains("NaN") && !svg.contains("inf"));
        svg
    };
    let plain = svg(LOCK);
    for title in ["Inductance", "Resistance", "Q of the coil alone"] {
        assert!(plain.contains(&format!(">{title}</text>")), "{title}");
    }
    // What has no resistance shows its inductance only.
    let spiral = svg("spiral --inner 10e-3 --outer 40e-3 --turns 20");
    assert!(spiral.contains(">Inductance</text>") && !spiral.contains(">Resistance</text>"));
    let driven = svg(&format!("{LOCK} --drive 5 --series-ohm 20"));
    assert!(
        driven.contains(">Current in the coil, series tank</text>")
            && driven.contains(">mA peak</text>")
    );
    let metal = svg(&format!("{LOCK} --ring-diameter 60e-3"));
    assert!(metal.contains("stroke-dasharray") && metal.contains("dashed: beside it"));
    let spread = svg(&format!("{LOCK} --tolerance inductance=3%"));
    assert!(
        spread.contains(">Resonance of 10000 circuits</text>") && spread.contains(">Q of 10000")
    );

    let pickup =
        "coil pickup --former 20e-3 --length 5e-3 --wire 0.2e-3 --wire-length 10 --force --plot";
    let words: Vec<&str> = pickup.split_whitespace().chain([path]).collect();
    let run = coilwright(&words);
    assert_eq!(run.code, 0, "{}", run.messages);
    let drawn = std::fs::read_to_string(path).unwrap();
    assert!(drawn.contains("own resonance") && drawn.contains(">dB over 1 V peak</text>"));
    assert_eq!(drawn.matches("stroke=\"#0072B2\"").count(), 1);

    let again = self::run(&format!("{LOCK} --plot {path}"));
    assert!(again.code == 2 && again.messages.contains("is there already"));
    let png = folder.path().join("drawn.png");
    let run = self::run(&format!("{LOCK} --plot {}", png.to_str().unwrap()));
    assert_eq!(run.code, 0, "{}", run.messages);
    assert!(std::fs::read(&png).unwrap().starts_with(b"\x89PNG"));
    // What is refused leaves no picture.
    let none = folder.path().join("none.svg");
    let run = self::run(&format!(
        "loop --diameter 0.3 --wire 0.1 --plot {}",
        none.to_str().unwrap()
    ));
    assert!(run.code == 2 && !none.exists());
}
