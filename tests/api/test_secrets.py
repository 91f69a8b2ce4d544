"""What must stay between caller and service is in no line of any log: keys, tokens, and every value that was sent."""

import json
import signal

import httpx
import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import ec

from api.keys import hash_of
from tests.api.busy_service import running
from tests.api.conftest import a_case
from tests.two_books import first_book

KEY, WRONG = "key-of-a-practice-that-nobody-may-see", "key-that-is-none"
SECRET = "Bella-Wanderley-14-Mill-Lane"  # as of a person, wherever something can be written
CALL = {"hook": SECRET, "hookInstance": SECRET, "context": {"patientId": SECRET}, "fhirServer": f"https://{SECRET}"}


@pytest.fixture(scope="module")
def told(tmp_path_factory):
    """Everything that a service wrote while it was asked rightly and wrongly, and the token that it was shown."""
    folder = tmp_path_factory.mktemp("secrets")
    signing = ec.generate_private_key(ec.SECP384R1())
    public = {**json.loads(jwt.algorithms.ECAlgorithm.to_jwk(signing.public_key())), "kid": "one"}
    (folder / "clients.json").write_text(json.dumps({"keys": [public]}))
    (folder / "keys.yaml").write_text(f"keys:\n  - {{name: west, sha256: {hash_of(KEY)}}}\n")
    token = jwt.encode({"iss": SECRET, "jti": SECRET}, signing, algorithm="ES384", headers={"kid": "one"})
    settings = {
        "api_keys": str(folder / "keys.yaml"),
        "jwt_keys": str(folder / "clients.json"),
        "jwt_issuers": "https://records.example.org",
        "base_url": "https://thawline.test",
        "audit_log": "-",
    }
    rules = first_book(folder / "rules")
    with running(folder, rules, workers=1, application="tests.api.crashing:create", **settings) as service:
        _ask(service.url, token)
        (rules / "rule_book.yaml").write_text(f"owner: {SECRET}\n")
        service.signal(signal.SIGHUP)
        service.until(lambda: service.ready()["refused"])
        ready = json.dumps(service.ready())
    return (folder / "log.jsonl").read_text(), token, ready


def _ask(url, token):
    with httpx.Client(base_url=url, timeout=30) as client:
        for key in (KEY, WRONG):
            headers = {"X-API-Key": key, "Authorization": f"Bearer {token}", "Referer": f"https://{SECRET}"}
            for case in (a_case(), a_case(lesion_id=SECRET), a_case(site=SECRET), {SECRET: SECRET}):
                client.post("/v1/recommendations", json=case, headers=headers)
            client.post("/v1/recommendations", content=f'{{"{SECRET}', headers=headers)
            client.post("/v1/batches", content=SECRET, headers={**headers, "Content-Type": "application/x-ndjson"})
            client.get(f"/v1/rules/{SECRET}/{SECRET}?{SECRET}={SECRET}", headers=headers)
            client.get("/livez", headers={**headers, "X-Request-ID": f"{SECRET} two words", "traceparent": SECRET})
            client.post("/cds-services/skin-lesion-freeze", json=CALL, headers=headers)
            client.post("/cds-services/skin-lesion-freeze/feedback", json={"feedback": [CALL]}, headers=headers)
            client.post("/", data={"lesions.0.site": SECRET, SECRET: SECRET}, headers=headers)
            client.get(f"/fault?{SECRET}", headers=headers)


def test_something_was_written_of_every_kind(told):
    log, _, _ = told
    lines = [json.loads(line) for line in log.splitlines()]

    assert sum("operation" in line for line in lines) > 15  # audit lines
    assert any(line.get("exception") == "ValueError" for line in lines)
    assert any(line.get("key") == "west" for line in lines)
    assert any("refused rules" in line.get("message", "") for line in lines)


@pytest.mark.parametrize("secret", [KEY, WRONG, hash_of(KEY), hash_of(WRONG)])
def test_no_key_is_written_and_no_hash_of_one(told, secret):
    assert secret not in told[0]


def test_no_token_is_written_nor_a_part_of_one(told):
    log, token, _ = told

    assert not [part for part in token.split(".") if part in log]


def test_no_value_that_was_sent_is_written(told):
    assert SECRET not in told[0]
    assert "longest_diameter_mm" not in told[0]


def test_no_value_of_a_rule_file_is_told_where_it_is_refused(told):
    assert SECRET not in told[2]
