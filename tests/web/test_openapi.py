"""Any request that the OpenAPI document allows, and many it does not: never a fault of the program.

The requests are made up by schemathesis from /openapi.json; half of them are let through to the
audit by the right revision and the number of something that is there.
"""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from tests.web.conftest import PATIENCE_S

# A stream without end; the rest of the job, which takes seconds a time, has tests of its own.
LEFT_OUT = {"/api/events", "/api/marked-up.pdf"}


def operations(server):
    import schemathesis  # slow to load, for one test

    document = server.client.get("/openapi.json").json()
    schema = schemathesis.openapi.from_dict(document)
    found = [result.ok() for result in schema.get_all_operations()]
    assert len(found) > 25
    return [one for one in found if one.path not in LEFT_OUT]


def send(server, case, *, aimed):
    """Send a made-up request; an aimed one knows the revision, as a page does."""
    if aimed and isinstance(case.body, dict) and "revision" in case.body:
        case.body["revision"] = server.revision
        if "sheet" in case.body:
            case.body["sheet"] = 1
    if aimed and "revision" in (case.query or {}):
        case.query["revision"] = server.revision
    headers = {**(case.headers or {}), "Authorization": f"Bearer {server.door.token}"}
    return case.call(base_url=server.address, headers=headers, timeout=PATIENCE_S)


def hold(server, *, examples):
    """Send so many requests for each call of the document."""
    faults: list[str] = []
    for operation in operations(server):

        @settings(
            max_examples=examples,
            database=None,
            deadline=None,
            derandomize=True,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(), aimed=st.booleans(), number=st.sampled_from([1, 2, 7]))
        def ask(case, aimed, number):
            if aimed and "number" in (case.path_parameters or {}):
                case.path_parameters["number"] = number
            answer = send(server, case, aimed=aimed)
            if answer.status_code >= 500:
                faults.append(f"{case.method} {case.formatted_path}: {answer.text[:200]}")
            elif answer.status_code >= 400:
                error = answer.json()["error"]
                assert set(error) == {"code", "problem", "advice"}
                assert "\n" not in error["problem"] + error["advice"]

        ask()
    assert faults == []


def placed(server):
    """Something to act on."""
    body = {"revision": server.revision, "sheet": 1, "kind": "distance", "text": "3"}
    points = [[100, 300], [700, 300]]
    answer = server.client.post("/api/dimensions", json={**body, "points": points})
    assert answer.status_code == 201, answer.text


@pytest.mark.filterwarnings("ignore")
def test_no_request_that_the_document_allows_is_a_fault(loaded):
    placed(loaded)
    hold(loaded, examples=5)


@pytest.mark.hard
@pytest.mark.filterwarnings("ignore")
def test_no_request_that_the_document_allows_is_a_fault_at_length(loaded):
    placed(loaded)
    hold(loaded, examples=150)
