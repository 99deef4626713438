"""The API gives what the command line gives, and its description fits what it does."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import httpx
import msgspec
import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from diag import yamltext

DEMO = Path(__file__).resolve().parents[2] / "demo_cases"
CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance]
NAMES = ("dryer_fan_hot_after_greasing", "excavator_bucket_pin_dry", "cutter_slide_sticks")


def printed(*words: str) -> Any:
    done = subprocess.run([str(Path(sys.executable).parent / "diag"), *words, "--json"], capture_output=True,
                          text=True, check=True)
    return msgspec.json.decode(done.stdout)


def demo(name: str) -> dict[str, Any]:
    """A demo case as a JSON object."""
    data = yamltext.to_data(yamltext.read_file(str(DEMO / f"{name}.yaml")))
    assert isinstance(data, dict)
    return data


@pytest.fixture(scope="session")
def client(server: Any) -> httpx.Client:
    return httpx.Client(base_url=server.address, timeout=60)


@pytest.mark.parametrize("name", NAMES)
def test_review_equals_the_command_line(client: httpx.Client, name: str) -> None:
    answer = client.post("/api/review", json=demo(name))
    assert answer.status_code == 200
    assert answer.json() == printed("review", str(DEMO / f"{name}.yaml"))


def test_knowledge_equals_the_command_line(client: httpx.Client) -> None:
    found = client.get("/api/knowledge").json()
    assert found["causes"] == printed("knowledge", "causes")
    assert found["signs"] == printed("knowledge", "signs")
    shown = client.get("/api/knowledge/over_greasing").json()
    assert shown == printed("knowledge", "show", "over_greasing")


def test_an_unknown_record_is_not_found_with_a_near_one(client: httpx.Client) -> None:
    answer = client.get("/api/knowledge/over_greasin")
    assert answer.status_code == 404
    assert "over_greasing" in answer.json()["faults"][0]["what"]


def test_next_leads_a_client_that_keeps_case_and_trail_itself(client: httpx.Client) -> None:
    first = client.post("/api/next", json={}).json()
    assert first["step"]["id"] == "fact:point.kind"
    assert first["urgency"] is None
    case = {"complaint": "hot", "point": {"kind": "rolling_bearing", "running_temperature": 150}}
    trail = [{"step": "fact:point.kind", "wrote": ["point.kind"]}]
    then = client.post("/api/next", json={"case": case, "trail": trail}).json()
    assert then["step"]["id"] != first["step"]["id"]
    assert then["urgency"]["level"] == "stop_now"
    passed = [*trail, {"step": then["step"]["id"], "how": "skipped"}]
    assert client.post("/api/next", json={"case": case, "trail": passed}).json()["step"]["id"] != then["step"]["id"]


@pytest.mark.parametrize(("body", "wanted"), [
    ("{", "no JSON object"), ("[]", "no JSON object"), ("[" * 5000, "no JSON object"), ('{"a": NaN}', "no JSON object"),
    ("{}", "kind"), ('{"point": {"kind": "rolling_bearing", "sped": 3}}', "speed"),
    ('{"point": {"kind": "rolling_bearing", "speed": 1e999}}', ""),
    ('{"point": {"kind": "rolling_bearing", "speed": -1}}', "speed"),
])
def test_a_bad_case_is_refused_with_all_its_faults(client: httpx.Client, body: str, wanted: str) -> None:
    answer = client.post("/api/review", content=body, headers={"content-type": "application/json"})
    assert answer.status_code == 422
    faults = answer.json()["faults"]
    assert any(wanted in fault["what"] + fault["key"] for fault in faults)


def test_every_key_of_a_case_is_described(client: httpx.Client) -> None:
    found = client.get("/api/openapi.json").json()["components"]["schemas"]["Case"]["properties"]
    assert set(found) == {"case", "title", "complaint", "point", "grease", "earlier_grease", "regreasing", "history",
                          "seen", "said", "measured", "lab", "costs"}


@pytest.fixture(scope="session")
def described(server: Any) -> Any:
    return schemathesis.openapi.from_url(f"{server.address}/api/openapi.json")


@pytest.mark.parametrize("label", ["POST /api/review", "POST /api/next", "GET /api/knowledge",
                                   "GET /api/knowledge/{record}"])
def test_api_does_what_its_description_says(described: Any, label: str) -> None:
    operations = {found.ok().label: found.ok() for found in described.get_all_operations()}
    assert len(operations) == 4

    @settings(max_examples=12, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))
    @given(case=operations[label].as_strategy())
    def holds(case: Any) -> None:
        case.call_and_validate(checks=CHECKS)

    holds()
