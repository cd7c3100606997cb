//! What the program writes and reads, against its own JSON Schemas by an independent validator (`jsonschema`).

use crate::outside::{SCHEMA_NAMES, root, said, truerise};
use serde_json::Value;
use std::fs;
use std::path::Path;
use truerise::{Job, SizeTable, schema_of};

fn run(folder: &Path, args: &[&str]) -> Vec<u8> {
    let output = truerise().current_dir(folder).args(args).output().unwrap();
    assert!(output.status.code() != Some(2), "{args:?}: {}", said(&output));
    output.stdout
}

fn printed(name: &str) -> Value {
    serde_json::from_slice(&run(root(), &["schema", name])).unwrap()
}

fn problems(schema: &Value, instance: &Value) -> Vec<String> {
    let validator = jsonschema::draft202012::new(schema).unwrap();
    validator.iter_errors(instance).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

#[test]
fn every_schema_is_a_schema_and_printed_as_it_is() {
    for name in SCHEMA_NAMES {
        let one = schema_of(name).unwrap();
        assert!(jsonschema::meta::is_valid(&one), "{name}");
        assert_eq!(printed(name), one);
    }
}

/// Every key that is taken away or added is noticed.
fn strictly(schema: &Value, instance: &Value) {
    strictly_but(schema, instance, &[]);
}

/// The same, where these keys need not be there.
fn strictly_but(schema: &Value, instance: &Value, optional: &[&str]) {
    assert_eq!(problems(schema, instance), Vec::<String>::new());
    let first = instance.as_array().map_or(instance, |list| &list[0]);
    for key in first.as_object().unwrap().keys() {
        let mut less = first.clone();
        less.as_object_mut().unwrap().remove(key);
        assert_eq!(problems(schema, &less).is_empty(), optional.contains(&key.as_str()), "without {key}");
        let mut wrong = first.clone();
        wrong[key] = Value::Bool(true);
        assert!(!problems(schema, &wrong).is_empty(), "{key} of the wrong kind");
    }
    let mut more = first.clone();
    more["more"] = Value::Null;
    assert!(!problems(schema, &more).is_empty());
}

#[test]
fn what_is_written_is_as_the_schemas_say() {
    let folder = tempfile::tempdir().unwrap();
    let here = folder.path();
    let nest = root().join("samples/harbour-nest.dxf");
    let nest = nest.to_str().unwrap();
    fs::copy(nest, here.join("again.dxf")).unwrap();
    fs::write(here.join("even.csv"), "size,change,note\n38,25.4,look here\n").unwrap();
    fs::write(here.join("far.csv"), "size,change,front_share\n38,60,20%\n40,900,\n").unwrap();
    let json = |bytes: Vec<u8>| -> Value { serde_json::from_slice(&bytes).unwrap() };

    let measures = json(run(here, &["measure", nest, "--format", "json"]));
    strictly(&printed("measures"), &measures);
    let measures = json(run(here, &["measure", nest, "again.dxf", "--format", "json"]));
    assert!(measures.is_array());
    strictly(&printed("measures"), &measures);

    let report = printed("report");
    let passed = json(run(here, &["alter", nest, "--sizes", "even.csv", "-o", "o.dxf", "--format", "json"]));
    assert_eq!(passed["verdict"], "pass");
    strictly(&report, &passed);
    for uneven in ["keep", "fork", "waist"] {
        let args = ["alter", nest, "--sizes", "far.csv", "--dry-run", "--format", "json", "--uneven", uneven];
        let failed = json(run(here, &args));
        assert_eq!(failed["verdict"], "fail");
        assert_eq!(problems(&report, &failed), Vec::<String>::new());
    }
    let advice = json(run(here, &["alter", nest, "--sizes", "far.csv", "--advise", "--format", "json"]));
    strictly(&printed("advice"), &advice);
    strictly(&printed("check"), &json(run(here, &["check", nest, "--format", "json"])));
    let compared = json(run(here, &["check", "o.dxf", "--against", nest, "--format", "json"]));
    strictly_but(&printed("check"), &compared, &["original"]);
    let rules = root().join("samples/harbour.rul");
    let args = ["grade", nest, "--rules", rules.to_str().unwrap(), "-o", "g.dxf", "--format", "json"];
    strictly(&printed("grade"), &json(run(here, &args)));
    let plot = json(run(here, &["plot", nest, "--size", "38", "-o", "p.pdf", "--format", "json"]));
    strictly(&printed("plot"), &plot);
}

/// The reader and the schema take and refuse the same.
fn agree(schema: &Value, text: &str, read: bool) {
    let value: Value = serde_json::to_value(toml::from_str::<toml::Table>(text).unwrap()).unwrap();
    assert_eq!(problems(schema, &value).is_empty(), read, "{text}");
}

#[test]
fn tables_and_job_files_are_read_as_the_schemas_say() {
    let sizes = printed("sizes");
    for (text, good) in [
        (
            "[[size]]\nsize = 38\ncrotch_length = \"711,5 mm\"\nfront_share = \"40%\"\nease = 25\nwaistband = 40\nnote = \"n\"\n",
            true,
        ),
        ("[[size]]\nsize = \"38\"\nchange = -9\n", true),
        ("[[size]]\nsize = 38\nchange = 1\ncrotch_length = 700\n", false),
        ("[[size]]\nsize = 38\n", false),
        (
            "[[size]]\nsize = 38\nfront_crotch_length = 276\nback_crotch_length = \"342 mm\"\nease = 25\n",
            true,
        ),
        ("[[size]]\nsize = 38\nfront_crotch_length = 276\n", false),
        ("[[size]]\nsize = 38\nback_crotch_length = 342\n", false),
        (
            "[[size]]\nsize = 38\nfront_crotch_length = 276\nback_crotch_length = 342\nfront_share = 0.5\n",
            false,
        ),
        ("[[size]]\nsize = 38\nfront_crotch_length = 276\nback_crotch_length = 342\nchange = 5\n", false),
        ("[[size]]\nchange = 3\n", false),
        ("[[size]]\nsize = 38\nchang = 1\nchange = 1\n", false),
        ("[[sizes]]\nsize = 38\nchange = 1\n", false),
        ("[[size]]\nsize = 38\nchange = [1]\n", false),
    ] {
        assert_eq!(SizeTable::from_toml(text, "s.toml").is_ok(), good, "{text}");
        agree(&sizes, text, good);
    }
    let job = printed("job");
    for (text, good) in [
        ("unit = \"mm\"\n[allowance]\nall = \"5/8 in\"\nhem = 40\n", true),
        (
            "[layers]\ncrotch = [\"CROTCH\"]\ngrain = [7, \"GRAIN\"]\n[labels]\nfront = \"VORDERHOSE\"\nyoke = []\n",
            true,
        ),
        (
            "[alter]\nuneven = \"fork\"\nblend_to = \"knee\"\naim = \"distance\"\n[tolerance]\ninseam = \"1.5 mm\"\n",
            true,
        ),
        ("[alter]\nblend_to = 250\n", true),
        ("[alter]\nuneven = \"spoon\"\n", false),
        ("[alters]\nuneven = \"fork\"\n", false),
        ("[layers]\nsleeve = [\"1\"]\n", false),
        ("[tolerance]\npatience = 3\n", false),
        ("[allowance]\nall = true\n", false),
        ("unit = [\"mm\"]\n", false),
    ] {
        assert_eq!(Job::from_toml(text, "t.toml").is_ok(), good, "{text}");
        agree(&job, text, good);
    }
}

#[test]
fn the_program_describes_itself() {
    let folder = tempfile::tempdir().unwrap();
    run(folder.path(), &["man", "."]);
    let page = fs::read_to_string(folder.path().join("truerise-alter.1")).unwrap();
    for part in [".TH", "TRUERISE-ALTER", "\\-\\-uneven", "\\-\\-report"] {
        assert!(page.contains(part), "{part}");
    }
    let again = truerise().current_dir(folder.path()).args(["man", "."]).output().unwrap();
    assert_eq!(again.status.code(), Some(2), "pages that are there are not replaced unasked");
    for shell in ["bash", "zsh", "fish"] {
        let script = String::from_utf8(run(folder.path(), &["completions", shell])).unwrap();
        assert!(script.contains("blend-to"), "{shell}");
    }
    let bash = truerise().args(["completions", "bash"]).output().unwrap().stdout;
    fs::write(folder.path().join("c.bash"), bash).unwrap();
    // The shell itself reads the script and asks it what can follow.
    let asked = "source c.bash; COMP_WORDS=(truerise al); COMP_CWORD=1; _truerise truerise al truerise; echo ${COMPREPLY[@]}";
    let shell =
        std::process::Command::new("bash").current_dir(folder.path()).args(["-c", asked]).output().unwrap();
    assert_eq!(said(&shell).trim(), "alter");
}
