"""The HTTP interface: what it gives, and that nothing sent to it breaks it."""

from __future__ import annotations

from typing import Any

import httpx
import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from sqlalchemy import Engine

from basswright import jobs
from basswright.jobs.store import JobStore
from basswright.records.options import Options
from basswright.web import app
from tests.web.conftest import Server

JOB = "/api/jobs/demo-hatchback"
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]


def test_options_are_the_same_as_the_stage_gives(shared: httpx.Client) -> None:
    answer = shared.get(f"{JOB}/options")
    found = Options.model_validate_json(answer.content)
    assert found.options
    assert found.job_id == "demo-hatchback"
    posted = shared.post("/api/options", json={"toml": jobs.sample_text()})
    assert [each["id"] for each in posted.json()["options"]] == [o.id for o in found.options]


def test_a_system_comes_with_its_curves(shared: httpx.Client) -> None:
    data = shared.get(f"{JOB}/options/1").json()
    curves = data["prediction"]
    assert len(curves["frequency_hz"]) == len(curves["loudest_db"]) > 50
    assert data["option"]["rank"] == 1


def test_papers_come_as_one_archive(shared: httpx.Client) -> None:
    answer = shared.get(f"{JOB}/options/1/papers")
    assert answer.headers["content-type"] == "application/zip"
    assert answer.content.startswith(b"PK\x03\x04")


def test_why_a_box_is_not_there_is_told(shared: httpx.Client, filled: Engine) -> None:
    from basswright.catalogue.store import Catalogue

    last = Catalogue(filled).snapshot().enclosures[-1].id
    told = shared.get(f"{JOB}/why/{last}").json()
    assert told["enclosure"] == last
    assert told["text"]


def test_jobs_are_saved_changed_and_clashes_told(client: httpx.Client, engine: Engine) -> None:
    text = jobs.sample_text("suv")
    made = client.post("/api/jobs", json={"toml": text})
    assert (made.status_code, made.json()["revision"]) == (201, 1)
    assert client.post("/api/jobs", json={"toml": text}).status_code == 409
    changes = {"values": {"wish.budget": "1900", "car.cabin.width": "1.5 m"}, "revision": 1}
    changed = client.patch("/api/jobs/demo-suv", json=changes)
    assert changed.json()["revision"] == 2
    assert client.patch("/api/jobs/demo-suv", json=changes).status_code == 409
    assert JobStore(engine).get("demo-suv").job.wish.budget == 1900
    stored = client.get("/api/jobs/demo-suv").json()
    assert jobs.parse_job(stored["toml"]).car.cabin.width_m == 1.5


@pytest.mark.parametrize(
    ("body", "status", "field"),
    [
        ({"toml": "id = 1"}, 422, "id"),
        ({"toml": "= ="}, 422, ""),
        ({"toml": "x", "more": 1}, 422, "body.more"),
        ({}, 422, "body.toml"),
    ],
)
def test_what_is_wrong_is_told_with_its_field(
    shared: httpx.Client, body: dict[str, Any], status: int, field: str
) -> None:
    answer = shared.post("/api/jobs", json=body)
    assert answer.status_code == status
    data = answer.json()
    problems = data.get("problems") or [data]
    assert field in [problem.get("field", "") for problem in problems]


def test_a_job_keeps_its_id(client: httpx.Client) -> None:
    answer = client.patch(JOB, json={"values": {"id": "other"}, "revision": 1})
    assert answer.status_code == 422


def test_unknown_things_are_not_found(shared: httpx.Client) -> None:
    for path in ("/api/jobs/nobody", f"{JOB}/options/nothing", f"{JOB}/why/nothing", "/api/x"):
        answer = shared.get(path)
        assert answer.status_code == 404
        assert answer.json()["message"]


@pytest.fixture(scope="module")
def schema(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """The description of the interface, of a server with a store of its own."""
    from tests.web.conftest import new_store

    engine = new_store(tmp_path_factory.mktemp("api") / "shop.sqlite")
    with Server(app(engine, warm=False)) as server:
        httpx.get(f"{server.address}{JOB}/options", timeout=600)
        yield schemathesis.openapi.from_url(f"{server.address}/api/openapi.json")
    engine.dispose()


def test_whatever_the_description_allows_is_answered_as_described(schema: Any) -> None:
    """Requests made from the OpenAPI description; answers are held against it."""
    tried = set()
    for result in schema.get_all_operations():
        operation = result.ok()

        @settings(
            max_examples=12,
            deadline=None,
            derandomize=True,
            database=None,
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy())
        def answered(case: Any) -> None:
            answer = case.call_and_validate(timeout=120, checks=CHECKS)
            assert answer.status_code < 500

        answered()
        tried.add(operation.label)
    assert len(tried) >= 10
