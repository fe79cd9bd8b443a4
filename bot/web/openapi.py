"""The door described for programs, as OpenAPI 3.1."""

from typing import Any

MAX_BYTES = 20_000_000
"""The largest body of readings."""

_EXAMPLE = "time,glucose mmol/L\n2026-03-02T07:10:00+01:00,5.4\n2026-03-02T07:15:00+01:00,5.6\n"


def _problem(description: str, **headers: str) -> dict[str, Any]:
    told: dict[str, Any] = {
        "description": description,
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    if headers:
        told["headers"] = {
            name.replace("_", "-"): {"description": what, "required": True, "schema": {"type": "string"}}
            for name, what in headers.items()
        }
    return told


def _json(schema: dict[str, Any], description: str) -> dict[str, Any]:
    return {"description": description, "content": {"application/json": {"schema": schema}}}


def _object(required: dict[str, dict[str, Any]], **optional: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "required": list(required), "properties": {**required, **optional}}


def _count(description: str) -> dict[str, Any]:
    return {"type": "integer", "minimum": 0, "description": description}


def _instant(description: str) -> dict[str, Any]:
    return {"type": ["string", "null"], "format": "date-time", "description": description}


_UNIT = {"type": "string", "enum": ["mmol/L", "mg/dL"]}

_RECEIPT = _object(
    {
        "stored": _count("readings that are new"),
        "known": _count("readings that were on record already"),
        "flagged": _count("values out of the sensor's range, kept as flags without a number"),
        "skipped": _count("rows that gave no reading; see warnings"),
        "first": _instant("the first reading in the body, in UTC"),
        "last": _instant("the last reading in the body, in UTC"),
        "unit": {**_UNIT, "description": "what the body was in"},
        "columns": {
            "type": "object",
            "additionalProperties": {"type": "string"},
            "description": "what was taken for time and glucose",
        },
        "warnings": {"type": "array", "items": {"type": "string"}},
    }
)

_PROBLEM = _object(
    {
        "title": {"type": "string"},
        "status": {"type": "integer"},
        "detail": {"type": "string", "description": "what was wrong and what to do, in one sentence"},
    },
    about={
        "type": "string",
        "enum": ["column", "day_first"],
        "description": "where only the sender knows how the body is to be read: the parameter that says it",
    },
    options={
        "type": "array",
        "items": {"type": "string"},
        "description": "for column, what to choose from; for day_first, the date if true, then if false",
    },
)

_POST: dict[str, Any] = {
    "summary": "Post readings",
    "description": (
        "The body is what you would send the bot as a file: CSV text or JSON with a time and a glucose value "
        "in each row. Its layout and unit are found; a time without a zone is in the person's own. "
        "Posting the same again changes nothing. A meal that can be scored now is told in the chat, outside "
        "the person's quiet hours."
    ),
    "operationId": "postReadings",
    "security": [{"token": []}],
    "parameters": [
        {
            "name": "unit",
            "in": "query",
            "description": "the unit of the values, when the body does not say it",
            "schema": _UNIT,
        },
        {
            "name": "column",
            "in": "query",
            "description": "the column of glucose, by its heading or number, where several could be it",
            "schema": {"type": "string", "minLength": 1, "maxLength": 200},
        },
        {
            "name": "day_first",
            "in": "query",
            "description": "whether 03/05 is in May, where the body leaves that open",
            "schema": {"type": "boolean"},
        },
        {
            "name": "Idempotency-Key",
            "in": "header",
            "description": "your name for this post: its answer is kept for a day, and sent again",
            "schema": {"type": "string", "pattern": "^[!-~]{1,200}$"},
        },
    ],
    "requestBody": {
        "required": True,
        "description": "at most 20 MB",
        "content": {
            "text/csv": {"schema": {"type": "string"}, "example": _EXAMPLE},
            "application/json": {"schema": {}},
            "application/octet-stream": {"schema": {"type": "string", "format": "binary"}},
        },
    },
    "responses": {
        "200": _json({"$ref": "#/components/schemas/Receipt"}, "what came of it"),
        "400": _problem("a parameter does not make sense"),
        "401": _problem("no token, or one that has ended", WWW_Authenticate="how to send it"),
        "408": _problem("the body did not come in time"),
        "413": _problem("the body is too large"),
        "415": _problem("the body is a form, or packed by anything but gzip"),
        "422": _problem(
            "the body holds no readings, can be read in two ways (`about` says how to settle it), or its key "
            "came before with others"
        ),
        "429": _problem("too many posts at once", Retry_After="seconds to wait"),
        "503": _problem("it is not; `faults` says why where it can", Retry_After="seconds to wait"),
    },
}

DESCRIPTION: dict[str, Any] = {
    "openapi": "3.1.0",
    "info": {
        "title": "tablenote",
        "version": "1",
        "description": "Hand glucose readings to your diary by a program, such as a phone automation.",
    },
    "paths": {
        "/readings": {"post": _POST},
        "/health": {
            "get": {
                "summary": "Tell whether the bot is up, can use its database and is on time",
                "operationId": "showHealth",
                "responses": {
                    "200": _json(_object({"status": {"type": "string", "const": "ok"}}), "it is"),
                    "503": _problem("the database cannot be used now", Retry_After="seconds to wait"),
                },
            }
        },
        "/openapi.json": {
            "get": {
                "summary": "This description",
                "operationId": "showDescription",
                "responses": {"200": _json({"type": "object"}, "OpenAPI 3.1")},
            }
        },
    },
    "components": {
        "securitySchemes": {
            "token": {"type": "http", "scheme": "bearer", "description": "made by /token in the chat"}
        },
        "schemas": {"Receipt": _RECEIPT, "Problem": _PROBLEM},
    },
}
