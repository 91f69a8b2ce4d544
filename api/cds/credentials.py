"""Check the JWT that a CDS client sends, where the operator asks for one.

Only ES384 and RS384, only keys from configuration: a `jku` in a token is never fetched. A token is taken once. Why one
is refused is never said.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request

from api.cds.kinds import NO_CREDENTIAL
from api.problems import Problem
from api.settings import Settings, UnusableSetting
from api.worker.taken_tokens import InProcess, TakenTokens

__all__ = ["Client", "Credentials", "credentials_of"]

ALGORITHMS = {"EC": "ES384", "RSA": "RS384"}
LONGEST_LIFE_S = 3_600
LEEWAY_S = 10
LONGEST = 16_000
LONGEST_NAME = 255  # characters of a jti
LATEST_S = 10**11  # seconds since 1970: beyond the calendar that Python counts in


@dataclass(frozen=True, slots=True)
class Client:
    """An issuer, for one tenant where tenants are named, and how often and how many at once its calls may be."""

    name: str
    requests_per_minute: int
    at_once: int


class Credentials:
    """The keys, issuers and tenants that are accepted, and the tokens that were taken."""

    def __init__(self, keys: Mapping[str, Any], settings: Settings, taken: TakenTokens) -> None:
        """Prepare to check.

        Args:
            keys: Public keys by their `kid`.
            settings: Who may have issued a token, for whom, how often they may call, and the address of this service,
                which a token names.
            taken: The tokens that were taken.
        """
        self._keys = keys
        self._issuers = settings.jwt_issuers
        self._tenants = settings.jwt_tenants
        self._base_url = settings.base_url
        self._limits = settings.jwt_requests_per_minute, settings.jwt_at_once
        self._taken = taken

    def client(self, request: Request) -> Client:
        """Who shows a good token; issuer and tenant are named for the audit log too.

        Raises:
            Problem: `no-credential`, whatever the reason.
        """
        written = request.headers.getlist("authorization")
        path = request.scope["path"].removeprefix(request.scope.get("root_path", ""))
        claims = self._claims(written[0], self._base_url + path) if len(written) == 1 else None
        named = self._named(claims) if claims is not None and _well_stated(claims) else None
        if claims is None or named is None or not self._first_time(claims, named):
            raise Problem(NO_CREDENTIAL, NO_CREDENTIAL.title, headers={"WWW-Authenticate": "Bearer"})
        request.scope["state"]["caller"] = named
        return Client("issuer " + " ".join(named.values()), *self._limits)

    def _claims(self, written: str, address: str) -> Mapping[str, Any] | None:
        """What a token says that is signed by a known key, of a known issuer, for this address, and still good."""
        import jwt

        scheme, _, token = written.partition(" ")
        if scheme.lower() != "bearer" or len(token) > LONGEST:
            return None
        try:
            header = jwt.get_unverified_header(token)
            key = self._keys.get(str(header.get("kid")))
            if key is None or header.get("typ") != "JWT" or header.get("alg") != ALGORITHMS[key.key_type]:
                return None
            claims: Mapping[str, Any] = jwt.decode(
                token,
                key.key,
                algorithms=[ALGORITHMS[key.key_type]],
                audience=address,
                issuer=list(self._issuers),
                leeway=LEEWAY_S,
                options={"require": ["iss", "aud", "exp", "iat", "jti"]},
            )
        except jwt.PyJWTError:
            return None
        return claims

    def _named(self, claims: Mapping[str, Any]) -> dict[str, str] | None:
        """Whose token it is: the issuer, and the tenant where tenants are named; None for a tenant that is not."""
        if not self._tenants:
            return {"issuer": claims["iss"]}
        if claims.get("tenant") not in self._tenants:
            return None
        return {"issuer": claims["iss"], "tenant": claims["tenant"]}

    def _first_time(self, claims: Mapping[str, Any], named: Mapping[str, str]) -> bool:
        """Take a token, once; whose it is, in a memory of their own."""
        return self._taken.first_time(json.dumps([*named.values()]), claims["jti"], float(claims["exp"]))


def credentials_of(settings: Settings, taken: TakenTokens | None = None) -> Credentials | None:
    """What the operator accepts; None where calls need no credential.

    Args:
        settings: As the operator has set them.
        taken: The tokens that were taken; None to begin with none.

    Raises:
        UnusableSetting: The keys cannot be used, or what goes with them is missing.
    """
    if settings.jwt_keys is None:
        return None
    try:
        import jwt
    except ImportError:
        raise UnusableSetting("THAWLINE_JWT_KEYS needs PyJWT: install thawline[jwt].") from None
    if not settings.jwt_issuers or not settings.base_url:
        raise UnusableSetting("THAWLINE_JWT_KEYS needs THAWLINE_JWT_ISSUERS and THAWLINE_BASE_URL beside it.")
    said = "THAWLINE_JWT_KEYS must name a JWK Set (JSON) of public keys for ES384 or RS384, each with a kid."
    try:
        keys = jwt.PyJWKSet.from_dict(json.loads(settings.jwt_keys.read_text(encoding="utf-8"))).keys
    except (OSError, ValueError, TypeError, AttributeError, jwt.PyJWTError):
        raise UnusableSetting(said) from None
    if any(one.key_id is None or not _usable(one) for one in keys) or len({one.key_id for one in keys}) < len(keys):
        raise UnusableSetting(said)
    return Credentials({str(one.key_id): one for one in keys}, settings, taken or InProcess())


def _well_stated(claims: Mapping[str, Any]) -> bool:
    """Whether times are numbers (RFC 7519, NumericDate), the life is at most as long as is allowed, and it has a name.

    >>> good = {"iat": 1_800_000_000, "exp": 1_800_003_600, "jti": "a"}
    >>> _well_stated(good), _well_stated({**good, "exp": 1_800_003_601}), _well_stated({**good, "iat": "1800000000"})
    (True, False, False)
    """
    times = [claims[name] for name in ("exp", "iat", "nbf") if name in claims]
    if any(isinstance(one, bool) or not isinstance(one, int | float) or abs(one) > LATEST_S for one in times):
        return False
    name = claims["jti"]
    return claims["exp"] - claims["iat"] <= LONGEST_LIFE_S and isinstance(name, str) and 0 < len(name) <= LONGEST_NAME


def _usable(key: Any) -> bool:
    """Whether a key is a public one that this service takes: on the curve P-384, or RSA of 2048 bits or more."""
    public = key.key
    if not hasattr(public, "public_numbers"):
        return False
    if key.key_type == "EC":
        return bool(public.curve.name == "secp384r1")
    return key.key_type == "RSA" and bool(public.key_size >= 2_048)
