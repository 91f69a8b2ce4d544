"""Every kind of problem that the service answers with: its status, its title, what it means, what to do.

A kind is named by the last part of its `type`, which is also the address of its page: GET /problems/{name}.
Names never change their meaning; a client may act on them.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["HEAD_KINDS", "KINDS", "Kind", "kind_of_status"]


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem."""

    name: str
    status: int
    title: str
    meaning: str
    remedy: str


_LISTED = (
    Kind(
        "unreadable-json",
        400,
        "The body cannot be read as JSON",
        "The body is not one JSON text in UTF-8 (RFC 8259), or it can be read in more than one way: a key stands "
        "twice in an object, a number is not finite or has too many digits, a character is half of a pair, or "
        "objects stand too deep in each other. Nothing in it was looked at further.",
        "Write the body with a JSON library, and look at the places in `errors`.",
    ),
    Kind(
        "unusable-parameter",
        400,
        "A parameter of the request cannot be used",
        "A query parameter is unknown or missing, stands there twice, or has a value it cannot have; or a header is "
        "too long.",
        "Compare the request with the parameters that /openapi.json lists for this operation.",
    ),
    Kind(
        "bad-request",
        400,
        "The request cannot be read",
        "The request is not one that HTTP allows here.",
        "Compare the request with /openapi.json.",
    ),
    Kind(
        "no-api-key",
        401,
        "The request needs a key",
        "The service is run with keys, and the request has none that it knows.",
        "Send the key that the operator gave you in the header X-API-Key.",
    ),
    Kind(
        "not-found",
        404,
        "There is nothing at this address",
        "The path is not one of this service, or names something that the loaded rule book does not hold.",
        "GET /v1/rules lists every rule; /openapi.json lists every path.",
    ),
    Kind(
        "pages-off",
        404,
        "The pages for people are switched off here",
        "The service is run for programs: no case can be stated on its pages.",
        "Programs ask under /v1. Who operates the service opens the pages with THAWLINE_PAGES; they ask for no key, so "
        "a login belongs before them.",
    ),
    Kind(
        "unknown-rule-book-version",
        404,
        "This version of the rule book is not loaded",
        "The request asks for an answer by one version of the rule book, and another one is loaded. It is never "
        "answered by another one silently.",
        "GET /v1/rule-book tells which version is loaded. Leave `rule_book_version` out to be answered by that one.",
    ),
    Kind(
        "unknown-lesion",
        404,
        "The case has no single lesion of this name",
        "A paper is about one lesion. The case has several and none is named, or the name is that of none or of "
        "several of them.",
        "Send `lesion_id` as it stands in the case, and give each lesion a name of its own.",
    ),
    Kind(
        "method-not-allowed",
        405,
        "The method is not allowed here",
        "The path exists, but not with this method.",
        "Use a method that the Allow header of the answer lists.",
    ),
    Kind(
        "not-acceptable",
        406,
        "The answer has no form that the request accepts",
        "The Accept header excludes every media type that this operation answers with.",
        "Accept a media type that /openapi.json lists for this operation, or leave the Accept header out.",
    ),
    Kind(
        "body-too-slow",
        408,
        "The body took too long",
        "The body of the request, or the next part of a batch, did not arrive in the time that the service waits. The "
        "connection is closed.",
        "Send the request again, with its whole body at once.",
    ),
    Kind(
        "body-too-large",
        413,
        "The body is too large",
        "The body has more bytes than this service reads.",
        "Send fewer cases at once, or ask the operator for the limit.",
    ),
    Kind(
        "unsupported-media-type",
        415,
        "The media type of the body is not supported",
        "The Content-Type or Content-Encoding of the body is not one that this operation reads.",
        "Send application/json in UTF-8, without a content encoding.",
    ),
    Kind(
        "unusable-case",
        422,
        "The case cannot be used",
        "The body is JSON, but not a case: a field is unknown or missing, has the wrong type, or a value that it "
        "cannot have; or facts that fit by themselves contradict each other (code `contradiction`, at each of their "
        "fields), as a lesion older than its patient. Every fault found is in `errors`, each at its JSON Pointer.",
        "Compare the body with GET /v1/vocabulary. What is not known is left out, never null. Have the vet check both "
        "sides of a contradiction; no one but the vet knows which of them is wrong.",
    ),
    Kind(
        "too-many-requests",
        429,
        "Too many requests for this key",
        "The key has asked more often in a minute, or more at once, than the operator has agreed with its holder. Each "
        "line of a batch counts as one request.",
        "Wait as many seconds as Retry-After says, or `retry_after_s` beside the line of a batch.",
    ),
    Kind(
        "internal-fault",
        500,
        "The service failed",
        "Something in the service failed. No answer is given, and nothing of the request was kept.",
        "Tell the operator the `request_id`: it is in the log beside the fault.",
    ),
    Kind(
        "matching-disagreed",
        500,
        "The two means of matching did not agree",
        "Every case is matched by two independent means. They did not name the same rules, or one of them failed, "
        "so no answer is given.",
        "Decide without this service, and tell the operator the `request_id`.",
    ),
    Kind(
        "overloaded",
        503,
        "Too many requests are waiting",
        "More requests have come than can be answered in good time. This one was not looked at, so that those before "
        "it are answered as fast as ever.",
        "Wait as many seconds as Retry-After says, then send it again.",
    ),
    Kind(
        "not-ready",
        503,
        "The service is not ready",
        "The rule book has not yet answered a case by both means of matching.",
        "Ask again later.",
    ),
)

# What is refused before the service sees it; no operation answers so.
_OF_HEADS = (
    Kind(
        "head-too-large",
        431,
        "The head of the request is too large",
        "Address and headers together have more than 65,536 bytes.",
        "Send fewer or shorter headers. What is stated about a case belongs into the body.",
    ),
    Kind(
        "unknown-method",
        501,
        "The method is not known",
        "The request has a method that this service does not know at any address.",
        "Use a method that /openapi.json lists.",
    ),
)

KINDS = {kind.name: kind for kind in _LISTED}
HEAD_KINDS = {kind.name: kind for kind in _OF_HEADS}

_BY_STATUS = {400: "bad-request", 404: "not-found", 405: "method-not-allowed", 413: "body-too-large"}


def kind_of_status(status: int) -> Kind:
    """The kind that stands for a bare status, where the framework gives no more.

    >>> kind_of_status(405).name
    'method-not-allowed'
    """
    if status in _BY_STATUS:
        return KINDS[_BY_STATUS[status]]
    return KINDS["bad-request" if status < 500 else "internal-fault"]
