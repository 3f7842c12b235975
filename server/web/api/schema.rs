//! From the descriptions to JSON Schema 2020-12, as OpenAPI 3.1 uses it. Objects become components of the document.

use keepwell_engine::quantity::Measure;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::model::choice::Choice;
use crate::model::choice::options;
use crate::model::entry::Kind;
use crate::model::name::Name;
use crate::web::api::entry;
use crate::web::api::shape::A_PAGE;
use crate::web::api::shape::BATCH;
use crate::web::api::shape::Member;
use crate::web::api::shape::Must;
use crate::web::api::shape::Object;
use crate::web::api::shape::What;

const ID: &str = "^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}$";
const FRESH: &str = "^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-7[0-9a-fA-F]{3}-[89abAB][0-9a-fA-F]{3}-[0-9a-fA-F]{12}$";
/// One line that neither begins nor ends with a space.
const LINE: &str =
    "^[^\\s\\u0000-\\u001f\\u007f-\\u009f]([^\\u0000-\\u001f\\u007f-\\u009f]*[^\\s\\u0000-\\u001f\\u007f-\\u009f])?$";
/// Text without control characters other than line breaks and tabs.
const TEXT: &str = "^[^\\u0000-\\u0008\\u000b\\u000c\\u000e-\\u001f\\u007f]*$";
const DAY: &str = "^[0-9]{4}-[0-9]{2}-[0-9]{2}$";

/// Which way a value goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    In,
    Out,
}

/// The components that the document comes to need.
#[derive(Default)]
pub struct Components(pub Map<String, Value>);

impl Components {
    /// What stands in the document for `what`.
    pub fn schema(&mut self, what: &What, way: Way) -> Value {
        match what {
            What::Id => json!({ "type": "string", "format": "uuid", "pattern": ID }),
            What::Fresh => json!({ "type": "string", "format": "uuid", "pattern": FRESH }),
            What::Name => json!({ "type": "string", "minLength": 1, "maxLength": Name::LONGEST, "pattern": LINE }),
            What::Text(longest) if way == Way::In => {
                json!({ "type": "string", "maxLength": longest, "pattern": TEXT })
            }
            What::Text(_) => json!({ "type": "string" }),
            What::Figure(measure) => figure(measure, "number"),
            What::Whole(measure) => figure(measure, "integer"),
            What::Count(least, most) => json!({ "type": "integer", "minimum": least, "maximum": most }),
            What::Number => json!({ "type": "number" }),
            What::Flag => json!({ "type": "boolean" }),
            What::Choice(options) => {
                json!({ "type": "string", "enum": options().iter().map(|(key, _)| *key).collect::<Vec<_>>() })
            }
            What::Moment => json!({ "type": "string", "format": "date-time" }),
            What::Date => json!({ "type": "string", "format": "date", "pattern": DAY }),
            What::List(each, most) => {
                json!({ "type": "array", "items": self.schema(each, way), "maxItems": most })
            }
            What::Figures(known) | What::FiguresPatch(known) => {
                let patch = matches!(what, What::FiguresPatch(_));
                let one = |measure| if patch { or_null(figure(measure, "number")) } else { figure(measure, "number") };
                let properties: Map<String, Value> =
                    known().iter().map(|(key, measure)| ((*key).to_owned(), one(measure))).collect();
                json!({ "type": "object", "properties": properties, "additionalProperties": false })
            }
            What::Pairs(first, second, most) => json!({
                "type": "array",
                "maxItems": most,
                "items": {
                    "type": "array",
                    "prefixItems": [figure(first, "number"), figure(second, "number")],
                    "items": false,
                    "minItems": 2,
                    "maxItems": 2,
                },
            }),
            What::Object(object) => {
                let end = if way == Way::In { "Body" } else { "" };
                self.named(format!("{}{end}", object.name), |all| all.object(object.about, object.members, way))
            }
            What::New(object) => self.named(format!("New{}", object.name), |all| {
                let mut schema = all.object(object.about, object.members, Way::In);
                schema["properties"]["id"] = all.schema(&What::Fresh, Way::In);
                schema
            }),
            What::Patch(object) => self.named(format!("{}Patch", object.name), |all| all.patch(object)),
            What::Kept(object) => self.named(object.name.to_owned(), |all| all.kept(object)),
            What::Page(line) => json!({
                "type": "object",
                "properties": {
                    "items": { "type": "array", "items": self.schema(line, way), "maxItems": A_PAGE },
                    "next": { "type": ["string", "null"], "description": "the address of the next page" },
                },
                "required": ["items", "next"],
                "additionalProperties": false,
            }),
            What::Fields(kind) => self.object("", &entry::fields(*kind), way),
            What::NewEntry => self.one_of_each("NewEntry", |all, kind| {
                let mut schema = all.object(kind.label(), &entry::members(kind), Way::In);
                schema["properties"]["kind"] = json!({ "type": "string", "const": kind.key() });
                schema
            }),
            What::Batch => {
                let each = "a NewEntry; checked for itself, so that one that does not hold stands in no other's way";
                // Named here, that the document holds what each is to be.
                self.schema(&What::NewEntry, way);
                let one = json!({ "type": "object", "description": each });
                let entries = json!({ "type": "array", "items": one, "minItems": 1, "maxItems": BATCH });
                self.named("Batch".to_owned(), |_| {
                    closed("", Map::from_iter([("entries".to_owned(), entries)]), &["entries"])
                })
            }
            What::Entry => self.one_of_each("Entry", Self::entry),
            What::Record => json!({ "type": "object" }),
        }
    }

    fn named(&mut self, name: String, make: impl FnOnce(&mut Self) -> Value) -> Value {
        let reference = json!({ "$ref": format!("#/components/schemas/{name}") });
        if !self.0.contains_key(&name) {
            let schema = make(self);
            self.0.insert(name, schema);
        }
        reference
    }

    /// A closed object. In an answer every member stands, null where there is none; but the fields of an entry that
    /// were not given are left out.
    fn object(&mut self, about: &str, members: &[Member], way: Way) -> Value {
        let mut properties = Map::new();
        let mut required = Vec::new();
        for member in members {
            let may_be_null = member.must == Must::Maybe;
            properties.insert(member.key.to_owned(), self.member(member, way, may_be_null));
            if member.must == Must::Needed || way == Way::Out {
                required.push(member.key);
            }
        }
        closed(about, properties, &required)
    }

    fn member(&mut self, member: &Member, way: Way, may_be_null: bool) -> Value {
        let mut schema = self.schema(&member.what, way);
        if may_be_null {
            schema = or_null(schema);
        }
        if !member.about.is_empty() {
            schema["description"] = member.about.into();
        }
        schema
    }

    fn kept(&mut self, object: &Object) -> Value {
        let mut schema = self.object(object.about, object.members, Way::Out);
        schema["properties"]["id"] = self.schema(&What::Id, Way::Out);
        schema["properties"]["revision"] =
            json!({ "type": "integer", "description": "what a change names in If-Match, as \"r7\"" });
        if let Some(required) = schema["required"].as_array_mut() {
            required.extend(["id".into(), "revision".into()]);
        }
        schema
    }

    fn patch(&mut self, object: &Object) -> Value {
        let properties = object
            .members
            .iter()
            .map(|member| {
                let member = Member { what: member.what.to_change(), ..*member };
                (member.key.to_owned(), self.member(&member, Way::In, member.must == Must::Maybe))
            })
            .collect();
        closed(object.about, properties, &[])
    }

    fn entry(&mut self, kind: Kind) -> Value {
        let mut fields = self.object("", &entry::fields(kind), Way::Out);
        let needed: Vec<Value> =
            kind.fields().iter().filter(|field| field.required).map(|field| field.key.into()).collect();
        fields["required"] = needed.into();
        let id = self.schema(&What::Id, Way::Out);
        let moment = self.schema(&What::Moment, Way::Out);
        let mut voided = closed(
            "the entry that declared it void",
            Map::from_iter([("entry".to_owned(), id.clone()), ("reason".to_owned(), json!({ "type": "string" }))]),
            &["entry", "reason"],
        );
        voided["type"] = json!(["object", "null"]);
        let properties = Map::from_iter([
            ("id".to_owned(), id.clone()),
            ("kind".to_owned(), json!({ "type": "string", "const": kind.key() })),
            ("at".to_owned(), moment.clone()),
            ("site".to_owned(), or_null(id.clone())),
            ("vessel".to_owned(), or_null(id.clone())),
            ("fields".to_owned(), fields),
            ("arrived".to_owned(), moment),
            ("person".to_owned(), or_null(id)),
            ("voided".to_owned(), voided),
        ]);
        let required: Vec<String> = properties.keys().cloned().collect();
        let required: Vec<&str> = required.iter().map(String::as_str).collect();
        closed(kind.label(), properties, &required)
    }

    /// One component for each kind of entry, and one that is any of them.
    fn one_of_each(&mut self, name: &str, make: impl Fn(&mut Self, Kind) -> Value) -> Value {
        self.named(name.to_owned(), |all| {
            let mut any = Vec::new();
            let mut mapping = Map::new();
            for (key, _) in options::<Kind>() {
                let Some(kind) = Kind::from_key(key) else { continue };
                let reference = all.named(format!("{name}_{key}"), |all| make(all, kind));
                mapping.insert(key.to_owned(), reference["$ref"].clone());
                any.push(reference);
            }
            json!({ "oneOf": any, "discriminator": { "propertyName": "kind", "mapping": mapping } })
        })
    }
}

fn closed(about: &str, properties: Map<String, Value>, required: &[&str]) -> Value {
    let mut schema = json!({ "type": "object", "properties": properties, "additionalProperties": false });
    if !required.is_empty() {
        schema["required"] = required.into();
    }
    if !about.is_empty() {
        schema["description"] = about.into();
    }
    schema
}

fn figure(measure: &Measure, kind: &str) -> Value {
    let unit = measure.unit.sign();
    let mut schema = json!({ "type": kind, "minimum": measure.min, "maximum": measure.max });
    if kind == "integer" {
        // a whole limit, written as one
        for limit in ["minimum", "maximum"] {
            if let Some(whole) = schema[limit].as_f64().and_then(|limit| format!("{limit:.0}").parse::<i64>().ok()) {
                schema[limit] = whole.into();
            }
        }
    }
    if !unit.is_empty() {
        schema["description"] = unit.into();
    }
    schema
}

fn or_null(mut schema: Value) -> Value {
    match schema.get_mut("type") {
        Some(Value::String(one)) => {
            schema["type"] = json!([one, "null"]);
            if let Some(list) = schema.get_mut("enum").and_then(Value::as_array_mut) {
                list.push(Value::Null);
            }
            schema
        }
        Some(_) => schema,
        None => json!({ "oneOf": [schema, { "type": "null" }] }),
    }
}
