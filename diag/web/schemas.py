"""The OpenAPI description, from the structures that do the work: the findings, the case model, the walk."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

import msgspec

from diag.case.model import DEGREES, Case
from diag.findings import Findings, Urgency
from diag.walk import Given, Step

__all__ = ["components", "of_get", "of_post"]

_REF = "#/components/schemas/"
_FAULTS = {
    "type": "object",
    "required": ["faults"],
    "properties": {
        "faults": {
            "type": "array",
            "minItems": 1,
            "items": {
                "type": "object",
                "required": ["what", "place", "key"],
                "properties": {name: {"type": "string"} for name in ("what", "place", "key")},
            },
        }
    },
}
_QUANTITY = {
    "description": "A number in the unit of the findings, or text with its unit, such as 85 degC; unknown is legal.",
    "anyOf": [{"type": "number"}, {"type": "string"}],
}


def of_post(path: str) -> dict[str, Any]:
    """Body and answers of a POST route."""
    body, answer = {"/review": ("Case", "Findings"), "/next": ("Asked", "Next")}[path]
    return {
        "requestBody": {"required": True, "content": _json(_ref(body))},
        "responses": {
            "200": {"description": "done", "content": _json(_ref(answer))},
            **_refusals("413", "415", "422"),
        },
    }


def of_get(path: str) -> dict[str, Any]:
    """Answers of a GET route."""
    if path == "/knowledge":
        return {"responses": {"200": {"description": "causes and signs", "content": _json(_ref("Knowledge"))}}}
    return {
        "responses": {
            "200": {"description": "tables that hold the id", "content": _json({"type": "object"})},
            **_refusals("404"),
        }
    }


def components() -> dict[str, Any]:
    """Every schema that the routes name."""
    _, found = msgspec.json.schema_components([Findings, Step, Given, Urgency], ref_template=_REF + "{name}")
    return {
        **found,
        "Case": _section(Case),
        "Asked": {
            "type": "object",
            "additionalProperties": False,
            "properties": {"case": _ref("Case"), "trail": {"type": "array", "items": _ref("Given")}},
        },
        "Next": {
            "type": "object",
            "required": ["step", "urgency"],
            "properties": {"step": _ref("Step"), "urgency": {"anyOf": [_ref("Urgency"), {"type": "null"}]}},
        },
        "Knowledge": {
            "type": "object",
            "required": ["fingerprint", "causes", "signs"],
            "properties": {
                "fingerprint": {"type": "string"},
                **{name: {"type": "array", "items": {"type": "object"}} for name in ("causes", "signs")},
            },
        },
        "Faults": _FAULTS,
    }


def _ref(name: str) -> dict[str, Any]:
    return {"$ref": _REF + name}


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}


def _refusals(*codes: str) -> dict[str, Any]:
    words = {"404": "no such record", "413": "too large", "415": "no JSON", "422": "what is wrong and where"}
    plain = {"text/plain": {"schema": {"type": "string"}}}
    return {
        code: {"description": words[code], "content": plain if code == "413" else _json(_ref("Faults"))}
        for code in codes
    }


def _section(cls: Any) -> dict[str, Any]:
    """One section of the case, from the same field notes that the reader goes by."""
    known = [f for f in fields(cls) if f.metadata["as"] != "aside"]
    return {
        "type": "object",
        "additionalProperties": False,
        "properties": {f.name: _value(f.metadata) for f in known},
        **({"required": ["point"]} if cls is Case else {}),
        **({"required": ["kind"]} if any(f.name == "kind" for f in known) else {}),
    }


def _value(known: Any) -> dict[str, Any]:
    kind = known["as"]
    if kind == "part":
        return _section(known["class"])
    if kind == "words":
        return {"type": "array", "items": {"type": "string", "examples": list(known["legal"])}}
    if kind == "degrees":
        return {"type": "object", "additionalProperties": {"enum": list(DEGREES)}}
    if kind == "readings":
        return {"type": "object", "additionalProperties": _QUANTITY}
    if kind == "word":
        return {"type": "string", "description": "A synonym is understood too.", "examples": list(known["legal"])}
    if kind == "flag":
        return {"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no", "unknown"]}]}
    return dict(_QUANTITY) if kind == "quantity" else {"type": "string"}
