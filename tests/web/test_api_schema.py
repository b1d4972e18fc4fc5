"""Whatever is sent to the API, it answers by its own description and never fails."""

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from tests.web.sample_book import CAR_NAME, SampleDesk

from nextpass.book import open_book
from nextpass.web.api import make_api
from nextpass.web.staging import Staging

CHECKS = (
    schemathesis.checks.not_a_server_error,
    schemathesis.checks.status_code_conformance,
    schemathesis.checks.content_type_conformance,
    schemathesis.checks.response_schema_conformance,
)
# The description does not depend on any book.
PATHS = make_api(None, None).openapi()["paths"]
OPERATIONS = [(path, method) for path, methods in PATHS.items() for method in methods]


@pytest.fixture(scope="module")
def described(sample_book, tmp_path_factory):
    staging = Staging()
    desk = SampleDesk(open_book(sample_book))
    yield schemathesis.openapi.from_asgi("/openapi.json", make_api(desk, staging))
    desk.close()
    staging.clear()


@pytest.mark.parametrize(("path", "method"), OPERATIONS)
def test_every_answer_is_as_described(described, path, method):
    @settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True, database=None)
    @given(case=described[path][method].as_strategy())
    def answers(case):
        # Half of what is tried names the car that is there: any other name would only ever meet "not found".
        if len(case.path_parameters.get("car", "")) % 2 == 0 and "car" in case.path_parameters:
            case.path_parameters["car"] = CAR_NAME
        case.call_and_validate(checks=CHECKS)

    answers()


def test_the_description_names_every_refusal():
    for path, method in OPERATIONS:
        responses = PATHS[path][method]["responses"]
        assert {"400", "404", "409", "422", "503"} <= set(responses), (path, method)
