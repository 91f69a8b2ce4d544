"""The client in Python has a method for each operation of the document, and says what goes wrong by type."""

import json
import re
import subprocess
import sys

import httpx
import pytest
from jsonschema import Draft202012Validator

from api import client, client_refusals
from api.client import PART_BYTES, PAUSE_S, Thawline
from api.client_refusals import Failed, NeedsKey, NotThere, Refused, TooMany, Unreachable, Unusable
from api.papers.request import MEDIA
from api.released.committed import COMMITTED

DOCUMENT = json.loads(COMMITTED.read_text(encoding="utf-8"))
WITHOUT = {"readOpenapi", "readDocs", "readMetrics"}  # what is for tools and for people
OPERATIONS = {
    one["operationId"]: (path, one) for path, methods in DOCUMENT["paths"].items() for one in methods.values()
}
SERVICE = "skin-lesion-freeze"


def body(name):
    """The example body of an operation."""
    (media,) = OPERATIONS[name][1]["requestBody"]["content"].values()
    return media["examples"]["case"]["value"]


CALLS = {
    "recommend": lambda thawline: thawline.recommend(body("recommend"), trace=True),
    "reviewCycle": lambda thawline: thawline.review_cycle(body("reviewCycle")),
    "reviewHealing": lambda thawline: thawline.review_healing(body("reviewHealing")),
    "whatWouldChange": lambda thawline: thawline.what_would_change(body("whatWouldChange")),
    "reproduce": lambda thawline: thawline.reproduce(body("reproduce")),
    "estimateFreeze": lambda thawline: thawline.estimate_freeze(
        applicator="cone", diameter_mm=5, seconds=20, site="trunk"
    ),
    "measurePool": lambda thawline: thawline.measure_pool(bore_mm=8, fill_mm=5, degrees=15),
    "readRuleBook": lambda thawline: thawline.read_rule_book(),
    "listRules": lambda thawline: thawline.list_rules("suitability"),
    "readRule": lambda thawline: thawline.read_rule("suitability/classic_to_five"),
    "listSources": lambda thawline: thawline.list_sources(),
    "readVocabulary": lambda thawline: thawline.read_vocabulary(),
    "discoverCdsServices": lambda thawline: thawline.discover_cds_services(),
    "callCdsService": lambda thawline: thawline.call_cds_service(SERVICE, body("callCdsService")),
    "sendCdsFeedback": lambda thawline: thawline.send_cds_feedback(SERVICE, body("sendCdsFeedback")),
    "readCodeList": lambda thawline: thawline.read_code_list("species"),
    "livez": lambda thawline: thawline.livez(),
    "readyz": lambda thawline: thawline.readyz(),
    "readVersion": lambda thawline: thawline.read_version(),
    "readProblem": lambda thawline: thawline.read_problem("not-found"),
}
BYTES = {"writePaper", "answerBatch"}  # what is answered in another form than JSON


@pytest.fixture(scope="module")
def thawline(shipped_server):
    with Thawline(shipped_server, timeout_s=60) as calling:
        yield calling


def in_snake_case(name):
    return re.sub("([A-Z])", r"_\1", name).lower()


def test_each_operation_of_the_document_has_a_method_or_is_left_out_on_purpose():
    methods = {name for name in vars(Thawline) if not name.startswith("_")}

    assert {in_snake_case(name) for name in OPERATIONS.keys() - WITHOUT} == methods - {"close", "draw_freeze"}


def test_each_operation_is_tried():
    assert OPERATIONS.keys() == CALLS.keys() | BYTES | WITHOUT


@pytest.mark.parametrize("name", CALLS)
def test_a_method_gives_what_the_document_describes(thawline, name):
    answer = CALLS[name](thawline)

    content = OPERATIONS[name][1]["responses"]["200"]["content"]
    schema = {**content["application/json"]["schema"], "components": DOCUMENT["components"]}
    assert [error.message[:200] for error in Draft202012Validator(schema).iter_errors(answer)] == []


@pytest.mark.parametrize("name", CALLS)
def test_a_method_is_typed_by_the_schema_of_its_answer(name):
    written = getattr(Thawline, in_snake_case(name)).__annotations__["return"]

    schema = OPERATIONS[name][1]["responses"]["200"]["content"]["application/json"]["schema"]
    assert schema["$ref"].rpartition("/")[2] == written


def test_a_paper_comes_in_the_form_asked_for(thawline):
    asked = body("writePaper")

    assert thawline.write_paper("owner-sheet", asked, "pdf").startswith(b"%PDF-")
    assert thawline.write_paper("owner-sheet", asked, "html").startswith(b"<!doctype html>")
    assert client.PAPERS == MEDIA


def test_a_freeze_is_drawn(thawline):
    assert "<svg" in thawline.draw_freeze(applicator="cone", diameter_mm=5, seconds=20, site="trunk")


def test_a_batch_of_several_parts_is_answered_in_its_order(thawline):
    case = body("recommend")
    cases = [{**case, "lesions": [{**case["lesions"][0], "lesion_id": f"lesion-{i}"}]} for i in range(300)]
    cases[70] = {"patient": {}}

    lines = list(thawline.answer_batch(cases))

    assert sum(len(json.dumps(one)) for one in cases) > PART_BYTES
    assert [one["line"] for one in lines] == list(range(1, 301))
    named = [one["answer"]["lesions"][0]["lesion_id"] for one in lines if "answer" in one]
    assert named == [f"lesion-{i}" for i in range(300) if i != 70]
    assert lines[70]["problem"]["type"].endswith("/problems/unusable-case")


def test_an_empty_batch_asks_nothing(thawline):
    assert list(thawline.answer_batch([])) == []


def test_what_cannot_be_used_is_told_at_its_place(thawline):
    with pytest.raises(Unusable) as refused:
        thawline.recommend({"patient": {"species": "dog"}, "lesions": []})

    assert (refused.value.status, refused.value.kind) == (422, "unusable-case")
    assert [one["pointer"] for one in refused.value.errors] == ["#/lesions"]
    assert refused.value.request_id in str(refused.value)
    assert "#/lesions: " in str(refused.value)


def test_what_is_not_there_is_told(thawline):
    with pytest.raises(NotThere, match="404"):
        thawline.read_rule("suitability/nobody_wrote_this")


def test_a_refusal_of_cds_hooks_says_its_diagnostics(thawline):
    with pytest.raises(Unusable) as refused:
        thawline.call_cds_service(SERVICE, {**body("callCdsService"), "prefetch": {}})

    assert (refused.value.status, refused.value.kind) == (412, "")
    assert refused.value.document["resourceType"] == "OperationOutcome"
    assert "conditions" in str(refused.value)


class Answers:
    """A service that gives one answer after the other, and the waits between them."""

    def __init__(self, *answers):
        self.answers, self.requests, self.waits = list(answers), [], []

    def __call__(self, request):
        self.requests.append(request)
        answer = self.answers.pop(0)
        if isinstance(answer, Exception):
            raise answer
        return answer

    def called(self, **how):
        return Thawline("http://t", transport=httpx.MockTransport(self), pause=self.waits.append, **how)


def later(status, seconds):
    return httpx.Response(status, headers={"Retry-After": seconds, "X-Request-ID": "r"}, json={"type": "/problems/x"})


ALIVE = httpx.Response(200, json={"status": "alive"})


@pytest.mark.parametrize("status", [429, 503])
def test_a_request_is_sent_again_when_the_service_says_when(status):
    service = Answers(later(status, "7"), later(status, "2"), ALIVE)

    assert service.called().livez() == {"status": "alive"}
    assert service.waits == [7, 2]


def test_a_request_is_sent_again_when_no_connection_was_made():
    service = Answers(httpx.ConnectError("refused"), ALIVE)

    assert service.called().livez() == {"status": "alive"}
    assert service.waits == [PAUSE_S]


@pytest.mark.parametrize(
    ("answer", "error"),
    [
        (httpx.Response(500, json={}), Failed),
        (httpx.Response(503, json={}), Failed),
        (httpx.Response(502, content=b"<html>"), Failed),
        (httpx.Response(422, json={}), Unusable),
        (httpx.Response(412, json=["no object"]), Unusable),
        (httpx.Response(401, json={}), NeedsKey),
        (httpx.Response(302, json={}), Refused),
        (later(429, "3600"), TooMany),
        (later(429, "tomorrow"), TooMany),
        (httpx.ReadTimeout("slow"), Unreachable),
        (httpx.RemoteProtocolError("gone"), Unreachable),
    ],
)
def test_nothing_else_is_sent_again(answer, error):
    service = Answers(answer)

    with pytest.raises(error):
        service.called().livez()

    assert (len(service.requests), service.waits) == (1, [])


def test_a_request_is_sent_as_often_as_was_asked_for_and_no_more():
    service = Answers(*[later(429, "1")] * 2)

    with pytest.raises(TooMany) as refused:
        service.called(tries=2).livez()

    assert (refused.value.retry_after_s, service.waits) == (1, [1])


def test_feedback_is_sent_once():
    service = Answers(later(503, "1"))

    with pytest.raises(Failed):
        service.called().send_cds_feedback(SERVICE, {"feedback": []})

    assert len(service.requests) == 1


def test_a_key_goes_with_every_request_and_a_token_with_those_of_cds_hooks():
    service = Answers(httpx.Response(200, json={"services": []}), ALIVE)
    thawline = service.called(key="k", token=lambda address: f"for {address}")

    thawline.discover_cds_services()
    thawline.livez()

    assert [one.headers["x-api-key"] for one in service.requests] == ["k", "k"]
    hooks, alive = service.requests
    assert hooks.headers["authorization"] == "Bearer for http://t/cds-services"
    assert "authorization" not in alive.headers


def answered(*lines):
    return httpx.Response(200, text="".join(f"{json.dumps(one)}\n" for one in lines))


def test_cases_that_were_more_than_was_agreed_are_sent_again_when_the_service_says():
    late = {"problem": {"status": 429}, "retry_after_s": 20}
    service = Answers(
        answered({"line": 1, "answer": "a"}, {"line": 2, **late}, {"line": 3, **late, "retry_after_s": 40}),
        answered({"line": 1, "answer": "b"}, {"line": 2, "answer": "c"}),
    )

    told = list(service.called().answer_batch([{"case": name} for name in "abc"]))

    assert told == [{"line": number, "answer": name} for number, name in enumerate("abc", 1)]
    assert service.waits == [40]
    assert [one.content.count(b"\n") for one in service.requests] == [3, 2]


@pytest.mark.parametrize("retry_after_s", [61, 3_600])
def test_a_case_that_has_to_wait_long_keeps_its_problem(retry_after_s):
    late = {"line": 2, "problem": {"status": 429}, "retry_after_s": retry_after_s}
    service = Answers(answered({"line": 1, "answer": "a"}, late))

    assert list(service.called().answer_batch([{}, {}])) == [{"line": 1, "answer": "a"}, late]


def test_a_number_that_json_does_not_have_is_not_sent():
    service = Answers()

    with pytest.raises(ValueError):
        list(service.called().answer_batch([{"lesions": [{"base_width_mm": float("nan")}]}]))

    assert service.requests == []


def test_the_client_needs_httpx_alone():
    brings = (
        "import sys, api.client; print({'decision', 'durable', 'fastapi', 'pydantic', 'orjson'} & set(sys.modules))"
    )

    ran = subprocess.run([sys.executable, "-c", brings], capture_output=True, text=True, check=True)

    assert ran.stdout.strip() == "set()"


def test_every_error_is_a_call_error_and_is_drawn_in_the_tree():
    drawn = client_refusals.__doc__
    errors = [one for one in vars(client_refusals).values() if isinstance(one, type) and issubclass(one, Exception)]

    assert len(errors) > 7
    for one in errors:
        assert issubclass(one, client.CallError)
        assert one.__name__.startswith("_") or re.search(rf"\b{one.__name__}\b", drawn)
