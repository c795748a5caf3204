//! The archive: filters, sums and what goes to a spreadsheet.

use assert_cmd::Command;
use serde_json::Value;

/// A folder with the demo job under several names and days.
fn folder() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let answers = std::fs::read_to_string("demo/no-lift.answers.yaml").expect("there");
    let walk = |name: &str, answers: &str| {
        let file = folder.path().join(format!("{name}.yaml"));
        std::fs::write(&file, answers).expect("written");
        let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
        command.args(["walk", "tern/no-lift-no-tilt", "--job", name, "--answers"]).arg(&file);
        let output = command.arg("--jobs").arg(folder.path()).output().expect("it runs");
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    };
    walk("first", &answers);
    walk("again", &answers.replace("2026-03-02", "2026-03-20").replace("K. Marek", "=HYPERLINK(\"x\")"));
    walk("other", &answers.replace("2026-03-02", "2026-05-02").replace("\"4417\"", "\"9\""));
    // One that stops after the telephone.
    let short = answers.split("# At the machine.").next().expect("a beginning");
    walk("open", &short.replace("2026-03-02", "2026-05-03"));
    folder
}

fn job(folder: &tempfile::TempDir, args: &[&str]) -> String {
    let mut command = Command::cargo_bin("loomwalk").expect("the program is built");
    let output = command.arg("job").args(args).arg("--jobs").arg(folder.path()).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("text")
}

#[test]
fn filters_sums_and_sheets() {
    let folder = folder();
    let names = |args: &[&str]| {
        let listed: Value =
            serde_json::from_str(&job(&folder, &[&["list", "--format", "json"], args].concat()))
                .expect("JSON");
        let jobs = listed["jobs"].as_array().expect("jobs").iter();
        jobs.map(|job| job["name"].as_str().expect("a name").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(names(&[]), ["again", "first", "open", "other"]);
    assert_eq!(names(&["--serial", "9"]), ["other"]);
    assert_eq!(names(&["--open"]), ["open"]);
    assert_eq!(names(&["--since", "2026-03-20"]), ["again", "open", "other"]);
    assert_eq!(names(&["--machine", "tern", "--fault", "w35 GROUNDED"]), ["again", "first", "other"]);
    assert_eq!(names(&["--tree", "tern/no-lift-no-tilt"]).len(), 4);
    assert!(names(&["--machine", "wren"]).is_empty() && names(&["--tree", "no-crank"]).is_empty());
    let sheet = job(&folder, &["list", "--format", "csv"]);
    assert!(sheet.contains("\"'=HYPERLINK(\"\"x\"\")\""), "a formula is a text: {sheet}");
    let sums: Value = serde_json::from_str(&job(&folder, &["archive", "--format", "json"])).expect("JSON");
    assert_eq!(sums["findings"][0]["jobs"], 3);
    assert_eq!(sums["findings"][0]["fault"], "W35 grounded at pivot-clamp");
    assert_eq!(sums["open"], serde_json::json!(["open"]));
    // 2 March to 20 March, less the two hours of the job itself; the third machine has another serial.
    assert_eq!(
        sums["again"],
        serde_json::json!([{"serial": "4417", "first": "first", "second": "again", "days": 17}])
    );
    let text = job(&folder, &["archive"]);
    assert!(
        text.contains(
            "##############################    3  W35 grounded at pivot-clamp  (tern, no-lift-no-tilt)"
        ),
        "{text}"
    );
    let page = job(&folder, &["archive", "--format", "html", "--tree", "no-lift-no-tilt"]);
    assert!(page.contains("<rect width=\"200\"") && !page.contains("<script"), "{page}");
    let page = job(&folder, &["archive", "--format", "html", "--lang", "es"]);
    let words =
        ["<html lang=\"es\">", "<h1>Archivo</h1>", "Hallazgos", "<th>Falla</th>", "Abiertos", "terminados"];
    assert_eq!(words.iter().filter(|word| !page.contains(**word)).collect::<Vec<_>>(), Vec::<&&str>::new());
    for english in ["Findings", "Fault<", "Jobs<", "Archive", "Open<", "Proofs"] {
        assert!(!page.contains(english), "{english}: {page}");
    }
    assert!(job(&folder, &["archive", "--lang", "es"]).contains("Hallazgos"));
}
