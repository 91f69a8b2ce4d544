"""Feedback is held against its shape, leaves one line in the audit log, and nothing else."""

import json

import pytest

FEEDBACK = "/cds-services/skin-lesion-freeze/feedback"
CARD = "4ef426ac-f3a2-5a27-9b6e-309f7b5c4191"
SUGGESTION = "70b51ec1-9049-5010-920f-79b6a18b5d57"
WHEN = "2026-11-24T10:07:31Z"
REASON = {"system": "https://thawline.example.org/fhir/CodeSystem/override-reason", "code": "owner_declined"}
ACCEPTED = {"card": CARD, "outcome": "accepted", "outcomeTimestamp": WHEN, "acceptedSuggestions": [{"id": SUGGESTION}]}
OVERRIDDEN = {"card": CARD, "outcome": "overridden", "outcomeTimestamp": WHEN}


@pytest.fixture
def send(service, caplog):
    """Sends feedback; the answer and the lines of the audit log."""
    caplog.set_level("INFO", logger="thawline.audit")

    def sent(*entries):
        answer = service("POST", FEEDBACK, json={"feedback": list(entries)})
        return answer, [json.loads(one.message) for one in caplog.records if one.name == "thawline.audit"]

    return sent


def test_feedback_is_taken_and_leaves_one_line(send):
    answer, lines = send(ACCEPTED, OVERRIDDEN)

    assert (answer.status_code, answer.json()) == (200, {"received": 2})
    assert len(lines) == 1
    assert lines[0]["operation"] == "cds-feedback"
    assert lines[0]["request_id"] == answer.headers["x-request-id"]
    assert lines[0]["feedback"] == [
        {"card": CARD, "outcome": "accepted", "suggestions": [SUGGESTION]},
        {"card": CARD, "outcome": "overridden"},
    ]


def test_a_reason_of_ours_is_written_down_and_what_was_written_is_not(send, caplog):
    _, lines = send({**OVERRIDDEN, "overrideReason": {"reason": REASON, "userComment": "Mrs Pell said no"}})

    assert lines[0]["feedback"][0]["reason"] == "owner_declined"
    assert "Pell" not in caplog.text


@pytest.mark.parametrize(
    "reason", [{"code": "Mrs Pell"}, {**REASON, "code": "Mrs Pell"}, {**REASON, "system": "https://other.example"}]
)
def test_any_other_reason_is_written_down_as_other(send, reason, caplog):
    answer, lines = send({**OVERRIDDEN, "overrideReason": {"reason": reason}})

    assert answer.status_code == 200
    assert lines[0]["feedback"][0]["reason"] == "other"
    assert "Pell" not in caplog.text


def test_members_that_are_not_known_are_let_be(send):
    answer, _ = send({**OVERRIDDEN, "extension": {"x": 1}, "more": None})

    assert answer.status_code == 200


@pytest.mark.parametrize("timestamp", ["2026-11-24T10:07:31.25+01:00", "2026-11-24t10:07:31z", "2016-12-31T23:59:60Z"])
def test_a_timestamp_of_rfc_3339_is_taken(send, timestamp):
    assert send({**OVERRIDDEN, "outcomeTimestamp": timestamp})[0].status_code == 200


@pytest.mark.parametrize(
    ("entry", "place"),
    [
        ({**OVERRIDDEN, "outcomeTimestamp": "2026-11-24"}, "outcomeTimestamp"),
        ({**OVERRIDDEN, "outcomeTimestamp": "2026-02-30T10:00:00Z"}, "outcomeTimestamp"),
        ({**OVERRIDDEN, "outcomeTimestamp": "2026-11-24T10:07:31"}, "outcomeTimestamp"),
        ({**OVERRIDDEN, "card": "first"}, "card"),
        ({**OVERRIDDEN, "outcome": "ignored"}, "outcome"),
        ({"card": CARD, "outcomeTimestamp": WHEN}, "outcome"),
        ({**ACCEPTED, "acceptedSuggestions": []}, "acceptedSuggestions"),
        ({**ACCEPTED, "acceptedSuggestions": [{}]}, "acceptedSuggestions/0/id"),
        ({**OVERRIDDEN, "outcome": "accepted"}, "acceptedSuggestions"),
        ({**OVERRIDDEN, "overrideReason": {"reason": {}}}, "overrideReason/reason/code"),
        ({**OVERRIDDEN, "overrideReason": "no"}, "overrideReason"),
    ],
)
def test_feedback_that_cannot_be_used_is_an_outcome_and_leaves_no_line(send, entry, place):
    answer, lines = send(entry)

    assert answer.status_code == 422
    assert answer.json()["issue"][0]["diagnostics"].startswith(f"#/feedback/0/{place}: ")
    assert lines == []


@pytest.mark.parametrize("body", [{}, {"feedback": []}, {"feedback": {}}, {"feedback": None}, []])
def test_feedback_has_an_entry(service, body):
    assert service("POST", FEEDBACK, json=body).status_code == 422
