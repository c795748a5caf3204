//! The schema of a file for editors: JSON Schema, draft 2020-12, printed from the forms that load it.
//!
//! The forms are the only source: a key that a loader takes is in the schema, with what it is for, and no other.
//! What YAML tools make of a plain scalar (a number, true) is let in wherever the loader takes any word.

use serde_json::{Map, Value, json};

use crate::diag::{Field, Form, Shape};
use crate::machine::MACHINE_FORM;
use crate::tree::{SHARED_FORM, TREE_FORM};

/// The schema of a tree file.
#[must_use]
pub fn tree_schema() -> Value {
    schema(&TREE_FORM, "Loomwalk tree file")
}

/// The schema of a file of shared groups.
#[must_use]
pub fn shared_schema() -> Value {
    schema(&SHARED_FORM, "Loomwalk shared file")
}

/// The schema of a machine file.
#[must_use]
pub fn machine_schema() -> Value {
    schema(&MACHINE_FORM, "Loomwalk machine file")
}

fn schema(form: &'static Form, title: &str) -> Value {
    let mut writer = Writer { definitions: Map::new() };
    writer.define_text();
    let Value::Object(body) = writer.body(form) else { return Value::Null };
    let mut whole = Map::new();
    whole.insert("$schema".into(), json!("https://json-schema.org/draft/2020-12/schema"));
    whole.insert("title".into(), json!(title));
    whole.extend(body);
    whole.insert("$defs".into(), Value::Object(writer.definitions));
    Value::Object(whole)
}

struct Writer {
    definitions: Map<String, Value>,
}

impl Writer {
    fn define_text(&mut self) {
        self.definitions.insert(
            "text".into(),
            json!({
                "description": "Words for people: once for all languages, or by language as {en: …, es: …}.",
                "anyOf": [
                    {"type": ["string", "number", "boolean"]},
                    {"type": "object", "minProperties": 1, "propertyNames": {"pattern": "^[a-z]{2}$"},
                     "additionalProperties": {"type": ["string", "number", "boolean"]}},
                ],
            }),
        );
    }

    fn body(&mut self, form: &'static Form) -> Value {
        let mut properties = Map::new();
        for field in form.fields {
            properties.insert(field.name.to_owned(), self.field(field));
        }
        let needed: Vec<&str> = form.fields.iter().filter(|f| f.needed).map(|f| f.name).collect();
        json!({"type": "object", "properties": properties, "required": needed, "additionalProperties": false})
    }

    fn field(&mut self, field: &'static Field) -> Value {
        let mut shape = self.shape(&field.shape);
        if let Some(fields) = shape.as_object_mut() {
            fields.insert("description".into(), json!(field.about));
        }
        shape
    }

    fn shape(&mut self, shape: &'static Shape) -> Value {
        match shape {
            Shape::Text => json!({"$ref": "#/$defs/text"}),
            Shape::Word => json!({"type": ["string", "number", "boolean"]}),
            Shape::OneOf(words) => json!({"enum": one_of(words)}),
            Shape::Flag => json!({"type": "boolean"}),
            Shape::Whole => json!({"type": "integer", "minimum": 0}),
            Shape::Number => json!({"type": "number"}),
            Shape::Quantity(example) => json!({"type": "string", "examples": [example]}),
            Shape::List(item) => json!({"type": "array", "items": self.shape(item)}),
            Shape::OneOrMany(item) => {
                let one = self.shape(item);
                json!({"anyOf": [one, {"type": "array", "items": one}]})
            }
            Shape::Named(value) => json!({"type": "object", "additionalProperties": self.shape(value)}),
            Shape::Form(form) => self.reference(form),
            Shape::AnyForm(forms) => {
                let kinds: Vec<Value> = forms.iter().map(|form| self.reference(form)).collect();
                json!({"type": "object", "oneOf": kinds})
            }
            Shape::Any(shapes) => {
                let any: Vec<Value> = shapes.iter().map(|shape| self.shape(shape)).collect();
                json!({"anyOf": any})
            }
        }
    }

    /// A reference to a form, which is written down when it is first met.
    fn reference(&mut self, form: &'static Form) -> Value {
        let name = definition_name(form.name);
        if !self.definitions.contains_key(&name) {
            self.definitions.insert(name.clone(), Value::Null);
            let body = self.body(form);
            self.definitions.insert(name.clone(), body);
        }
        json!({"$ref": format!("#/$defs/{name}")})
    }
}

/// The words, and each that a YAML tool takes for a number as that number too.
fn one_of(words: &[&str]) -> Vec<Value> {
    let numbers = words.iter().filter_map(|word| word.parse::<i64>().ok()).map(Value::from);
    words.iter().map(|word| Value::from(*word)).chain(numbers).collect()
}

/// "an `ask` step" as `ask-step`.
fn definition_name(name: &str) -> String {
    let bare = name.strip_prefix("an ").or_else(|| name.strip_prefix("a ")).unwrap_or(name);
    bare.replace('`', "").replace(' ', "-")
}
