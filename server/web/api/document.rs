//! The OpenAPI 3.1 document, made from the operations that the routes were added with.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::http::Method;
use axum::http::StatusCode;
use serde_json::Map;
use serde_json::Value;
use serde_json::json;

use crate::web::api::operation::Operation;
use crate::web::api::schema::Components;
use crate::web::api::schema::Way;
use crate::web::api::shape::Must;
use crate::web::api::shape::What;
use crate::web::error::kind;
use crate::web::error::kind::KINDS;

/// What `If-Match` looks like.
pub const REVISION: &str = "^\"r[0-9]{1,18}\"$";

const ABOUT: &str = "What the pages of this server show and do, for programs. Answers are JSON; every error is a problem \
    (RFC 9457) whose type is a page of this server that explains it. Figures are in the metric unit that ends their name: \
    _l litres, _m metres, _w watts, _mg_l milligrams per litre. Times are RFC 3339. A GET answers with an entity tag: sent \
    again in If-None-Match it saves the answer. Come with a token that the coordinator made, in the header \
    Authorization: Bearer.";

#[must_use]
pub fn document(operations: &[Arc<Operation>]) -> Value {
    let mut components = Components::default();
    let mut paths = Map::new();
    for operation in operations {
        let described = described(operation, operations, &mut components);
        let path = paths.entry(operation.path).or_insert_with(|| json!({}));
        path[operation.method.as_str().to_ascii_lowercase()] = described;
    }
    components.0.insert("Problem".to_owned(), problem());
    json!({
        "openapi": "3.1.0",
        "info": { "title": "Keepwell", "version": env!("CARGO_PKG_VERSION"), "description": ABOUT,
            "license": { "name": "MIT", "identifier": "MIT" } },
        "servers": [{ "url": "/" }],
        "security": [{ "token": [] }, { "session": [] }],
        "paths": paths,
        "components": {
            "schemas": components.0,
            "responses": responses(),
            "securitySchemes": {
                "token": { "type": "http", "scheme": "bearer" },
                "session": { "type": "apiKey", "in": "cookie", "name": crate::web::session::NAME },
            },
        },
    })
}

fn described(operation: &Operation, all: &[Arc<Operation>], components: &mut Components) -> Value {
    let mut parameters = Vec::new();
    if operation.path.contains("{id}") {
        let schema = components.schema(&What::Id, Way::In);
        parameters.push(json!({ "name": "id", "in": "path", "required": true, "schema": schema }));
    }
    for ask in &operation.asks {
        parameters.push(json!({ "name": ask.key, "in": "query", "required": ask.must == Must::Needed,
            "description": ask.about, "schema": components.schema(&ask.what, Way::In) }));
    }
    if operation.from_revision {
        parameters.push(json!({ "name": "If-Match", "in": "header", "required": true,
            "description": "the entity tag of what the change began from",
            "schema": { "type": "string", "pattern": REVISION } }));
    }
    let mut answers = BTreeMap::new();
    for (status, what) in &operation.gives {
        answers.insert(status.as_u16().to_string(), answer(operation, *status, what.as_ref(), all, components));
    }
    for kind in operation.errors() {
        let status = kind.status.as_u16();
        let reference = json!({ "$ref": format!("#/components/responses/Problem{status}") });
        answers.entry(status.to_string()).or_insert(reference);
    }
    let mut described = json!({
        "operationId": operation.name,
        "summary": operation.about,
        "tags": [tag(operation)],
        "parameters": parameters,
        "responses": answers,
    });
    if !operation.more.is_empty() {
        described["description"] = operation.more.into();
    }
    if operation.open {
        described["security"] = json!([]);
    }
    if let Some(takes) = &operation.takes {
        let schema = components.schema(takes, Way::In);
        described["requestBody"] = json!({ "required": true, "content": { operation.media(): { "schema": schema } } });
    }
    described
}

/// The noun of an address: what its operations stand under.
#[must_use]
pub fn tag(operation: &Operation) -> &'static str {
    operation.path.trim_start_matches("/api/v1/").split('/').next().unwrap_or_default()
}

fn answer(
    operation: &Operation,
    status: StatusCode,
    what: Option<&What>,
    all: &[Arc<Operation>],
    components: &mut Components,
) -> Value {
    let about = match status {
        StatusCode::CREATED => "it is kept",
        StatusCode::NO_CONTENT => "done",
        StatusCode::NOT_MODIFIED => "what If-None-Match names is the newest",
        _ => "the answer",
    };
    let mut answer = json!({ "description": about });
    if let Some(what) = what {
        answer["content"] = json!({ "application/json": { "schema": components.schema(what, Way::Out) } });
    }
    let text = json!({ "schema": { "type": "string" } });
    let is_get = operation.method == Method::GET && !operation.open;
    if is_get && what.is_some() {
        answer["headers"]["ETag"] = json!({ "required": true, "schema": { "type": "string" } });
    }
    if matches!(what, Some(What::Page(_))) {
        answer["headers"]["Link"] = text.clone();
    }
    if status == StatusCode::CREATED {
        answer["headers"]["Location"] = text;
        let one = format!("{}/{{id}}", operation.path);
        for next in all.iter().filter(|next| next.path == one && !next.from_revision) {
            let link = json!({ "operationId": next.name, "parameters": { "id": "$response.body#/id" } });
            answer["links"][next.name.as_str()] = link;
        }
    }
    answer
}

fn problem() -> Value {
    let types: Vec<String> = KINDS.iter().map(|kind| format!("/problems/{}", kind.name)).collect();
    json!({
        "type": "object",
        "description": "problem details (RFC 9457)",
        "properties": {
            "type": { "type": "string", "enum": types, "description": "a page that explains the kind" },
            "title": { "type": "string" },
            "status": { "type": "integer", "minimum": 400, "maximum": 599 },
            "detail": { "type": "string" },
            "instance": { "type": "string" },
            "errors": { "type": "array", "items": {
                "type": "object",
                "properties": {
                    "pointer": { "type": "string", "description": "JSON pointer into the body (RFC 6901)" },
                    "parameter": { "type": "string", "description": "of the address, or a header" },
                    "detail": { "type": "string" },
                },
                "required": ["detail"],
                "additionalProperties": false,
            } },
        },
        "required": ["type", "title", "status", "detail"],
        "additionalProperties": false,
    })
}

/// A response for each status, with the kinds of error that have it.
fn responses() -> Value {
    let mut responses = Map::new();
    for status in KINDS.iter().map(|kind| kind.status) {
        let kinds = KINDS.iter().filter(|kind| kind.status == status);
        let titles: Vec<&str> = kinds.map(|kind| kind.title).collect();
        let mut response = json!({
            "description": titles.join("; "),
            "content": { "application/problem+json": { "schema": { "$ref": "#/components/schemas/Problem" } } },
        });
        let header = json!({ "required": true, "schema": { "type": "string" } });
        if status == kind::SIGN_IN.status {
            response["headers"]["WWW-Authenticate"] = header;
        } else if status == kind::TOO_MANY.status || status == kind::UNAVAILABLE.status {
            response["headers"]["Retry-After"] = header;
        }
        responses.insert(format!("Problem{}", status.as_u16()), response);
    }
    Value::Object(responses)
}
