use std::fs;

use serde_json::Value;

use crate::{coilwright, repository, silence};

/// The committed schema, with every object closed: a property that it does not describe is a failure here.
fn strict_schema() -> Value {
    closed_schema("check-1")
}

/// A committed schema by its name, with every object closed.
pub(crate) fn closed_schema(name: &str) -> Value {
    let path = format!("docs/schema/{name}.schema.json");
    let text = fs::read_to_string(repository(&path)).unwrap();
    let mut schema = serde_json::from_str(&text).unwrap();
    close(&mut schema);
    schema
}

fn close(schema: &mut Value) {
    match schema {
        Value::Object(members) => {
            members.values_mut().for_each(close);
            if members.get("type").is_some_and(|kind| kind == "object")
                && members.contains_key("properties")
            {
                members.insert("additionalProperties".to_owned(), Value::Bool(false));
            }
        }
        Value::Array(items) => items.iter_mut().for_each(close),
        _ => {}
    }
}

fn assert_valid(instance: &Value) {
    assert_follows(&strict_schema(), instance);
}

pub(crate) fn assert_follows(schema: &Value, instance: &Value) {
    let validator = jsonschema::validator_for(schema).unwrap();
    let errors: Vec<String> = validator
        .iter_errors(instance)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert!(errors.is_empty(), "{errors:#?}");
}

#[test]
fn every_shipped_capture_gives_what_the_schema_describes() {
    let mut captures = 0;
    for entry in fs::read_dir(repository("testdata/sandpiper")).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|extension| extension == "wav") {
            let run = coilwright(&["check", "--json", path.to_str().unwrap()]);
            assert_valid(&serde_json::from_str(&run.data).unwrap());
            captures += 1;
        }
    }
    assert!(captures >= 4, "found {captures} captures");
}

#[test]
fn silence_and_a_comparison_give_what_the_schema_describes() {
    let folder = tempfile::tempdir().unwrap();
    let path = silence(&folder);
    let run = coilwright(&["check", "--json", &path, "--against", &path]);
    let check: Value = serde_json::from_str(&run.data).unwrap();
    assert_valid(&check);
    assert_eq!(check["carrier"]["frequency_hz"], Value::Null);
}

#[test]
fn the_schema_refuses_what_is_not_a_check() {
    let validator = jsonschema::validator_for(&strict_schema()).unwrap();
    assert!(!validator.is_valid(&serde_json::json!({"schema": "coilwright.check/1"})));
}

#[test]
fn several_captures_give_a_list_and_one_gives_an_object() {
    let folder = tempfile::tempdir().unwrap();
    let path = silence(&folder);
    let one: Value = serde_json::from_str(&coilwright(&["decode", "--json", &path]).data).unwrap();
    let two: Value =
        serde_json::from_str(&coilwright(&["decode", "--json", &path, &path]).data).unwrap();
    let partly: Value =
        serde_json::from_str(&coilwright(&["decode", "--json", "missing.wav", &path]).data)
            .unwrap();
    assert!(one.is_object());
    assert_eq!(two.as_array().map(Vec::len), Some(2));
    assert_eq!(partly.as_array().map(Vec::len), Some(1));
}
