"""Where the operator asks for a credential: only good tokens pass, each once, and no refusal says why."""

import base64
import json
import time
import uuid

import jwt
import pytest
from cryptography.hazmat.primitives.asymmetric import ec, rsa

from api.app import app_in
from api.cds.credentials import credentials_of
from api.settings import Settings, UnusableSetting
from tests.api.conftest import at_one_moment

BASE = "https://thawline.test"
ISSUER = "https://records.example.org"
DISCOVERY = "/cds-services"
SERVICE = f"{DISCOVERY}/skin-lesion-freeze"
KEYS = {
    "elliptic": ("ES384", ec.generate_private_key(ec.SECP384R1())),
    "rsa": ("RS384", rsa.generate_private_key(public_exponent=65537, key_size=2048)),
    "stranger": ("ES384", ec.generate_private_key(ec.SECP384R1())),
}


def jwk(name, key):
    kind = jwt.algorithms.ECAlgorithm if isinstance(key, ec.EllipticCurvePublicKey) else jwt.algorithms.RSAAlgorithm
    return {**json.loads(kind.to_jwk(key)), "kid": name}


@pytest.fixture(scope="module")
def key_file(tmp_path_factory):
    """The public keys of the client that the operator has registered."""
    path = tmp_path_factory.mktemp("keys") / "clients.json"
    path.write_text(json.dumps({"keys": [jwk(name, KEYS[name][1].public_key()) for name in ("elliptic", "rsa")]}))
    return path


@pytest.fixture
def guarded(service_with, key_file):
    """A service that asks for a credential."""
    return service_with(base_url=BASE, jwt_keys=key_file, jwt_issuers=(ISSUER,))


def token(name="elliptic", *, path=DISCOVERY, begins_s=0, ends_s=300, header=None, algorithm=None, key=None, **claims):
    """A token that is good from now on, but for what a test changes in it."""
    now = int(time.time())
    times = {"iat": now + begins_s, "exp": now + ends_s}
    payload = {"iss": ISSUER, "aud": BASE + path, **times, "jti": str(uuid.uuid4()), **claims}
    payload = {name: value for name, value in payload.items() if value is not None}
    signing = key if key is not None else KEYS[name][1]
    headers = {"kid": name, "typ": "JWT", **(header or {})}
    headers = {name: value for name, value in headers.items() if value is not None}
    return jwt.encode(payload, signing, algorithm=algorithm or KEYS[name][0], headers=headers)


def bearing(one):
    return {"Authorization": f"Bearer {one}"}


@pytest.mark.parametrize("name", ["elliptic", "rsa"])
def test_a_good_token_passes(guarded, name):
    assert guarded("GET", DISCOVERY, headers=bearing(token(name))).status_code == 200


@pytest.mark.parametrize("how", [{"ends_s": 3_000.5}, {"nbf": 1_767_225_600}, {"jti": "a" * 255}])
def test_a_token_at_its_limits_passes(guarded, how):
    assert guarded("GET", DISCOVERY, headers=bearing(token(**how))).status_code == 200


def test_an_hour_is_the_longest_life(guarded):
    now = int(time.time())

    assert guarded("GET", DISCOVERY, headers=bearing(token(iat=now, exp=now + 3_600))).status_code == 200


def test_a_token_may_name_several_addresses(guarded):
    several = token(aud=["https://other.example", BASE + DISCOVERY])

    assert guarded("GET", DISCOVERY, headers=bearing(several)).status_code == 200


def test_a_token_passes_once(guarded):
    once = bearing(token())

    assert [guarded("GET", DISCOVERY, headers=once).status_code for _ in range(2)] == [200, 401]


def test_the_scheme_is_read_in_any_case(guarded):
    assert guarded("GET", DISCOVERY, headers={"Authorization": f"bearer {token()}"}).status_code == 200


@pytest.mark.parametrize(
    ("method", "path"),
    [("GET", DISCOVERY), ("POST", SERVICE), ("POST", f"{SERVICE}/feedback"), ("POST", "/cds-services/x")],
)
def test_every_call_needs_a_token(guarded, method, path):
    answer = guarded(method, path, **({"json": {}} if method == "POST" else {}))

    assert (answer.status_code, answer.headers["www-authenticate"]) == (401, "Bearer")
    assert answer.json()["issue"][0]["code"] == "login"


def test_the_rest_of_the_service_needs_none(guarded):
    assert guarded("GET", "/v1/rules").status_code == 200


# How a refused token differs from a good one. It is made when it is sent, so that nothing else is wrong with it.
REFUSED = {
    "of another issuer": {"iss": "https://other.example"},
    "for another address": {"path": SERVICE},
    "for the address without its path": {"aud": BASE},
    "that is over": {"begins_s": -300, "ends_s": -60},
    "of the future": {"begins_s": 600, "ends_s": 900},
    "that lives for days": {"ends_s": 86_400},
    "that lived for days": {"begins_s": -30 * 86_400, "ends_s": 100},
    "that lives a second too long": {"ends_s": 3_601},
    "that ends beyond every number": {"exp": 10**400},
    "that began before every number": {"iat": -(10**400)},
    "whose end is text": {"exp": "4102444800"},
    "whose start is text": {"iat": "1767225600"},
    "whose first moment is text": {"nbf": "1767225600"},
    "whose end is true": {"exp": True},
    "whose name is empty": {"jti": ""},
    "whose name is too long": {"jti": "a" * 256},
    "without an issuer": {"iss": None},
    "without an address": {"aud": None},
    "without an end": {"exp": None},
    "without a start": {"iat": None},
    "without a name": {"jti": None},
    "signed by a stranger": {"name": "stranger", "header": {"kid": "elliptic"}},
    "of an unknown key": {"name": "stranger"},
    "without a key": {"header": {"kid": None}},
    "of another type": {"header": {"typ": "at+jwt"}},
    "of another algorithm": {"name": "rsa", "algorithm": "RS256"},
    "of a symmetric algorithm": {"algorithm": "HS384", "key": "k" * 64},
}
NO_TOKEN = {
    "with a header nested without end": base64.urlsafe_b64encode(b"[" * 9_000).decode() + ".e30.e30",
    "that is not signed": jwt.encode({"iss": ISSUER}, None, algorithm="none", headers={"kid": "elliptic"}),
    "that is none": "a.b.c",
    "that is empty": "",
    "that is too long": "a" * 20_000,
}


@pytest.mark.parametrize("what", [*REFUSED, *NO_TOKEN])
def test_a_token_is_refused_without_saying_why(guarded, what):
    written = NO_TOKEN[what] if what in NO_TOKEN else token(**REFUSED[what])
    bare = guarded("GET", DISCOVERY)
    answer = guarded("GET", DISCOVERY, headers=bearing(written))

    assert answer.status_code == 401
    assert answer.json() == bare.json()
    assert answer.headers["www-authenticate"] == bare.headers["www-authenticate"]


@pytest.mark.parametrize(("tenant", "status"), [("west", 200), ("north", 401), (None, 401), (["west"], 401)])
def test_where_tenants_are_named_a_token_is_for_one_of_them(service_with, key_file, tenant, status):
    named = service_with(base_url=BASE, jwt_keys=key_file, jwt_issuers=(ISSUER,), jwt_tenants=("west", "east"))

    assert named("GET", DISCOVERY, headers=bearing(token(tenant=tenant))).status_code == status


def test_feedback_is_logged_with_issuer_and_tenant(service_with, key_file, caplog):
    caplog.set_level("INFO", logger="thawline.audit")
    named = service_with(base_url=BASE, jwt_keys=key_file, jwt_issuers=(ISSUER,), jwt_tenants=("west",))
    path = f"{SERVICE}/feedback"
    entry = {"card": str(uuid.uuid4()), "outcome": "overridden", "outcomeTimestamp": "2026-11-24T10:07:31Z"}

    named("POST", path, json={"feedback": [entry]}, headers=bearing(token(path=path, tenant="west")))

    (line,) = [json.loads(one.message) for one in caplog.records if one.name == "thawline.audit"]
    assert (line["issuer"], line["tenant"]) == (ISSUER, "west")


def test_where_no_tenant_is_named_any_token_passes(guarded):
    assert guarded("GET", DISCOVERY, headers=bearing(token(tenant="north"))).status_code == 200


def test_two_credentials_are_none(guarded):
    both = [("Authorization", f"Bearer {token()}"), ("Authorization", f"Bearer {token()}")]

    assert guarded("GET", DISCOVERY, headers=both).status_code == 401


def test_a_token_is_never_logged(guarded, caplog):
    caplog.set_level("DEBUG")
    one = token(iss="https://other.example")

    guarded("GET", DISCOVERY, headers=bearing(one))

    assert one not in caplog.text and one.split(".")[2] not in caplog.text


def test_without_keys_no_credential_is_asked_for(service_with):
    assert credentials_of(Settings()) is None
    assert service_with()("GET", DISCOVERY).status_code == 200


def test_keys_need_issuers_and_an_address_beside_them(key_file):
    for missing in (Settings(jwt_keys=key_file), Settings(jwt_keys=key_file, jwt_issuers=(ISSUER,))):
        with pytest.raises(UnusableSetting, match="THAWLINE_JWT_ISSUERS and THAWLINE_BASE_URL"):
            credentials_of(missing)


SMALL = rsa.generate_private_key(public_exponent=65537, key_size=1024).public_key()
SHORT = ec.generate_private_key(ec.SECP256R1()).public_key()
PRIVATE = json.loads(jwt.algorithms.ECAlgorithm.to_jwk(KEYS["elliptic"][1]))
NAMELESS = {key: value for key, value in jwk("x", KEYS["rsa"][1].public_key()).items() if key != "kid"}
TWICE = jwk("x", KEYS["rsa"][1].public_key())


@pytest.mark.parametrize(
    "written",
    [
        "",
        "{}",
        '{"keys": []}',
        '{"keys": [{"kty": "oct", "k": "c2VjcmV0", "kid": "x"}]}',
        json.dumps({"keys": [jwk("x", SMALL)]}),
        json.dumps({"keys": [jwk("x", SHORT)]}),
        json.dumps({"keys": [{**PRIVATE, "kid": "x"}]}),
        json.dumps({"keys": [NAMELESS]}),
        json.dumps({"keys": [TWICE, TWICE]}),
    ],
)
def test_keys_that_are_not_public_strong_and_named_stop_the_start(tmp_path, written):
    path = tmp_path / "keys.json"
    path.write_text(written)

    with pytest.raises(UnusableSetting, match="must name a JWK Set"):
        credentials_of(Settings(jwt_keys=path, jwt_issuers=(ISSUER,), base_url=BASE))


def test_a_file_of_keys_that_is_not_there_stops_the_start(tmp_path):
    with pytest.raises(UnusableSetting, match="must name a JWK Set"):
        credentials_of(Settings(jwt_keys=tmp_path / "none.json", jwt_issuers=(ISSUER,), base_url=BASE))


def test_a_token_taken_before_the_rules_were_replaced_is_not_taken_again(guarded):
    later = type(guarded)(app_in(guarded.app.state.service.house, guarded.app.state.service.book))
    one, other = token(), token()
    guarded("GET", DISCOVERY, headers=bearing(one))

    assert later("GET", DISCOVERY, headers=bearing(one)).status_code == 401
    assert later("GET", DISCOVERY, headers=bearing(other)).status_code == 200


def test_a_token_taken_by_one_worker_is_not_taken_by_another(service_with, key_file, tmp_path):
    stated = {"base_url": BASE, "jwt_keys": key_file, "jwt_issuers": (ISSUER,), "state_folder": tmp_path}
    workers = [service_with(**stated) for _ in range(2)]
    one = bearing(token())

    assert [worker("GET", DISCOVERY, headers=one).status_code for worker in workers] == [200, 401]


@pytest.fixture
def limited(service_with, key_file):
    """A service that agreed on three calls a minute with each tenant."""
    named = {"jwt_issuers": (ISSUER,), "jwt_tenants": ("west", "east"), "jwt_requests_per_minute": 3}
    return at_one_moment(service_with(base_url=BASE, jwt_keys=key_file, **named))


def test_too_many_calls_in_a_minute_are_refused_with_the_time_to_wait(limited):
    answers = [limited("GET", DISCOVERY, headers=bearing(token(tenant="west"))) for _ in range(4)]

    assert [one.status_code for one in answers] == [200, 200, 200, 429]
    assert (answers[3].json()["resourceType"], answers[3].json()["issue"][0]["code"]) == (
        "OperationOutcome",
        "throttled",
    )
    assert answers[3].headers["retry-after"] == "21"  # the next of three a minute comes back within 20 s
    assert {one.headers["ratelimit-policy"] for one in answers} == {'"minute";q=3;w=60'}
    assert [one.headers["ratelimit"].partition(";t=")[0] for one in answers] == [
        f'"minute";r={left}' for left in (2, 1, 0, 0)
    ]


def test_a_tenant_has_its_limit_whatever_others_send(limited):
    for _ in range(4):
        limited("GET", DISCOVERY, headers=bearing(token(tenant="west")))

    assert limited("GET", DISCOVERY, headers=bearing(token(tenant="east"))).status_code == 200


def test_whoever_shows_no_good_token_is_not_counted_and_told_of_no_limit(limited):
    refused = [limited("GET", DISCOVERY, headers=bearing(token(tenant="north"))) for _ in range(4)]

    assert {one.status_code for one in refused} == {401}
    assert not any("ratelimit" in one.headers for one in refused)
    assert limited("GET", DISCOVERY, headers=bearing(token(tenant="west"))).status_code == 200
