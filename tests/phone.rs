//! The phone sheet: its order against information worked out by hand, its page, and the job that it begins.

use std::collections::BTreeSet;
use std::path::Path;

use assert_cmd::Command;
use loomwalk::author::{PhoneSheet, check, phone_html, phone_sheet, phone_text};
use loomwalk::diag::{Lang, Source, SourceError, Sources};
use loomwalk::tree::Shipped;

/// Two questions by telephone that part three finds of equal share unevenly and evenly, one after the other.
const TREE: &str = r#"
loomwalk: 1
tree: pump
title: {en: Pump is dead, es: La bomba no anda}
start: runs
steps:
  runs:
    ask: {en: Does it run?, es: ¿Anda?}
    phone: true
    answers:
      "yes": {text: {en: It runs, es: Anda}, go: over}
      "no": {text: {en: It does not, es: No anda}, go: hums}
  over: {close: not-reproduced}
  hums:
    ask: {en: Does it hum?, es: ¿Zumba?}
    phone: true
    answers:
      hums: {text: {en: It hums, es: Zumba}, means: {en: load the pump, es: cargar la bomba}, go: smells}
      silent: {text: {en: Silence, es: Silencio}, go: c}
    cannot: smells
  smells:
    ask: {en: Does it smell burnt?, es: ¿Huele a quemado?}
    phone: true
    answers:
      burnt: {text: {en: Burnt, es: A quemado}, go: a}
      clean: {text: {en: No smell, es: Sin olor}, go: b}
  a: {find: [pump burnt], zone: outside, cause: heat, repair: {replace: pump, heat: false}, go: shop}
  b: {find: [pump jammed], zone: outside, cause: dirt, repair: {clean: pump, heat: false}, go: shop}
  c: {find: [fuse blown], zone: outside, cause: age, repair: {replace: fuse, heat: false}, go: shop}
  shop: {refer: {en: To the shop, es: Al taller}}
"#;

struct Beside(&'static str);

impl Sources for Beside {
    fn fetch(&self, _from: &str, _wanted: &str) -> Result<Source, SourceError> {
        Ok(Source::new("machine.yaml", self.0))
    }
}

fn sheet_of(text: &str, lang: &str) -> PhoneSheet {
    let machine = Beside(include_str!("machines/example.yaml"));
    let course = check(&Source::new("tree.yaml", text), &machine).course.expect("a tree");
    phone_sheet(&course, &Lang::new(lang))
}

/// Entropy of shares, in bits: −Σ p·log2 p (Shannon 1948).
fn entropy(chances: &[f64]) -> f64 {
    chances.iter().filter(|p| **p > 0.0).map(|p| -p * p.log2()).sum()
}

#[test]
fn the_questions_stand_by_what_they_tell_a_minute() {
    let sheet = sheet_of(TREE, "en");
    let steps: Vec<&str> = sheet.questions.iter().map(|q| q.step.as_str()).collect();
    assert_eq!(steps, ["runs", "hums", "smells"]);
    // Each leaf is named once, so P(b | f) = 0.97 + 0.03/2 towards it and 0.03/2 away (the page on evidence); the
    // information is H(answer) − H(answer | fault), all shares alike.
    let towards = 0.97 + 0.03 / 2.0;
    let hums = (2.0 * towards + (1.0 - towards)) / 3.0;
    let noise = entropy(&[towards, 1.0 - towards]);
    let expected = entropy(&[hums, 1.0 - hums]) - noise;
    assert!(
        (sheet.questions[1].bits - expected).abs() < 1e-9,
        "{} bits, by hand {expected}",
        sheet.questions[1].bits
    );
    // The third finding is on neither way of the last question: each answer is as likely there.
    let even = entropy(&[0.5, 0.5]) - (2.0 * noise + 1.0) / 3.0;
    assert!(
        (sheet.questions[2].bits - even).abs() < 1e-9,
        "{} bits, by hand {even}",
        sheet.questions[2].bits
    );
    // Whether it runs at all parts no faults from one another.
    assert!(sheet.questions[0].bits < 1e-9);
    assert_eq!(sheet.questions[1].only_if, Some((1, "It does not".to_owned())));
    // "Not known" leads to the last question too, so it hangs on no answer.
    assert_eq!(sheet.questions[2].only_if, None);
}

#[test]
fn the_sheet_is_one_page_in_either_language() {
    for lang in ["en", "es"] {
        let sheet = sheet_of(include_str!("good_trees/example.yaml"), lang);
        let text = phone_text(&sheet);
        assert!(text.lines().count() <= 62, "{} lines", text.lines().count());
        assert!(text.lines().all(|line| line.chars().count() <= 80), "{text}");
    }
    let sheet = sheet_of(include_str!("good_trees/example.yaml"), "en");
    insta::assert_snapshot!(phone_text(&sheet));
    let spanish = sheet_of(TREE, "es");
    insta::assert_snapshot!(phone_text(&spanish));
}

#[test]
fn parts_count_with_the_shares_of_the_faults_that_need_them() {
    let sheet = sheet_of(include_str!("good_trees/example.yaml"), "en");
    let chances: Vec<f64> = sheet.load.iter().filter_map(|item| item.chance).collect();
    assert!(chances.windows(2).all(|pair| pair[0] >= pair[1]), "{chances:?}");
    assert!(chances.iter().all(|chance| (0.0..=1.0).contains(chance)), "{chances:?}");
    let lock = sheet.load.iter().find(|item| item.name.starts_with("lock")).expect("a lock is needed");
    assert!((lock.chance.expect("by share") - 1.0).abs() < 1e-9, "every way there passes lockout");
}

#[test]
fn the_page_has_every_text_and_nothing_of_what_a_file_could_smuggle_in() {
    let hostile = TREE.replace("Pump is dead", "\"<script>alert(1)</script> & co\"");
    let hostile = hostile.replace("Does it hum?", "\"a\\u001b[2Jb\"");
    let page = phone_html(&sheet_of(&hostile, "en"));
    assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt; &amp; co"));
    assert!(!page.contains("<script") && !page.contains('\u{1b}'));
    let page = phone_html(&sheet_of(TREE, "es"));
    for text in ["¿Anda?", "¿Zumba?", "cargar la bomba", "Sin olor", "pump"] {
        assert!(page.contains(text), "{text} is missing");
    }
}

/// What was answered on the telephone is in the job; the job goes on at the machine, and the answers count.
#[test]
fn a_job_begins_with_the_telephone_and_goes_on_at_the_machine() {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let jobs = tempfile::tempdir().expect("a folder");
    let all = std::fs::read_to_string(here.join("tests/good_trees/example.answers.yaml")).expect("answers");
    let phone = all.lines().take(2).collect::<Vec<_>>().join("\n");
    assert!(phone.contains("last-tried"), "the telephone question comes first");
    let walk = |answers: &str, resume: bool| {
        let file = jobs.path().join("answers.yaml");
        std::fs::write(&file, answers).expect("written");
        let mut command = Command::cargo_bin("loomwalk").expect("the program");
        command
            .args(["walk", "tests/good_trees/example.yaml", "--root", "tests", "--job", "p1"])
            .current_dir(here);
        command.arg("--jobs").arg(jobs.path().join("jobs")).arg("--answers").arg(&file);
        if resume {
            command.arg("--resume");
        }
        let output = command.output().expect("it runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    };
    walk(&phone, false);
    walk(&all, true);
    let mut report = Command::cargo_bin("loomwalk").expect("the program");
    let output =
        report.args(["report", "p1", "--jobs"]).arg(jobs.path().join("jobs")).output().expect("it runs");
    let text = String::from_utf8_lossy(&output.stdout);
    assert!(text.contains("They did not"), "the operator's answer is in the report:\n{text}");
    assert!(text.contains("0.03 V"), "and so is what was read at the machine:\n{text}");
}

/// Words that are the same in both languages.
const ALIKE: [&str; 4] = ["no", "pin", "sensor", "mm²"];

/// The words of a text that are no designations (`X14:3`, `W31`), numbers or units.
fn words_of(text: &str) -> Vec<String> {
    let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| word.chars().count() > 1);
    let plain =
        words.filter(|word| !word.chars().any(|c| c.is_ascii_digit()) && word.to_uppercase() != *word);
    plain.map(str::to_lowercase).collect()
}

/// What stands on a Spanish sheet stands there in Spanish: no word of it is the English sheet's at the same place.
#[test]
fn no_text_of_a_spanish_sheet_stands_only_in_english() {
    // One tree a machine, the quickest to be worked out; every tree would take most of a minute without optimisation.
    let names = ["tern/battery-flat", "wren/five-volt-down", "heron/fuel-gauge"];
    let mut looked_at = 0;
    for name in names {
        let Some(course) = Shipped::named(name).and_then(|source| check(&source, &Shipped).course) else {
            continue;
        };
        let [en, es] = ["en", "es"].map(|lang| phone_sheet(&course, &Lang::new(lang)));
        let texts = |sheet: &PhoneSheet| {
            let mut all = vec![sheet.title.clone()];
            for question in &sheet.questions {
                all.push(question.text.clone());
                let of = |(answer, means): &(String, Option<String>)| [Some(answer.clone()), means.clone()];
                all.extend(question.answers.iter().flat_map(of).flatten());
            }
            let mut load: Vec<String> = sheet.load.iter().map(|item| item.name.clone()).collect();
            load.sort_unstable();
            (all, load)
        };
        let ((asked, loaded), (preguntado, cargado)) = (texts(&en), texts(&es));
        assert_eq!((asked.len(), loaded.len()), (preguntado.len(), cargado.len()), "{name}");
        for (english, spanish) in asked.iter().zip(&preguntado) {
            assert!(
                words_of(english).is_empty()
                    || english != spanish
                    || ALIKE.contains(&&*english.to_lowercase()),
                "{name}: {spanish}"
            );
        }
        let known: BTreeSet<String> = loaded.iter().flat_map(|item| words_of(item)).collect();
        for item in &cargado {
            looked_at += 1;
            let english =
                words_of(item).into_iter().find(|w| known.contains(w) && !ALIKE.contains(&w.as_str()));
            assert_eq!(english, None, "{name}: `{item}` is English");
        }
    }
    assert!(looked_at > 20, "only {looked_at} things to load");
}
