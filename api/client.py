"""Call a Thawline service from Python: a typed method for each operation, problems as typed errors.

    with Thawline("http://127.0.0.1:8000") as thawline:
        answer = thawline.recommend({"patient": {"species": "dog"}, "lesions": [{"lesion_id": "flank"}]})

Beside the standard library it needs httpx alone. Every operation but feedback depends on what is sent alone and stores
nothing, so that it may be sent again; that is done only when no connection was made, or when the service says by
Retry-After when to ask again. What is wrong with a request is never tried twice. A program with an event loop calls
from a thread: `await asyncio.to_thread(thawline.recommend, case)`.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Literal, NotRequired, TypedDict, cast

import httpx

from api.client_refusals import (
    CallError,
    Failed,
    NeedsKey,
    NotThere,
    Refused,
    TooMany,
    Unreachable,
    Unusable,
    refusal_of,
)

if TYPE_CHECKING:
    from api.cds.discovery import CdsServiceList
    from api.cds.messages import CdsCards, FeedbackReceived
    from api.code_systems import CodeSystem
    from api.operations.messages import (
        Alive,
        ProblemPage,
        Ready,
        RuleBookPage,
        RuleList,
        RulePage,
        SourceList,
        VersionPage,
        VocabularyPage,
    )
    from api.problems import ProblemDocument
    from decision.recommendation import CycleReview, HealingReview, Recommendation
    from decision.reviewer.change_messages import WhatWouldChange
    from decision.reviewer.reproduction import Reproduction
    from decision.single_freeze import FreezeAnswer
    from decision.single_pool import PoolAnswer

__all__ = [
    "BatchLine",
    "CallError",
    "Failed",
    "NeedsKey",
    "NotThere",
    "Refused",
    "Thawline",
    "TooMany",
    "Unreachable",
    "Unusable",
]

JSON, NDJSON, SVG = "application/json", "application/x-ndjson", "image/svg+xml"
PAPERS = {"pdf": "application/pdf", "html": "text/html", "markdown": "text/markdown"}
LONGEST_WAIT_S = 60
PAUSE_S = 0.5
# A service answers the first lines of a batch before it reads the last ones. httpx sends all of a body before it reads
# an answer, so that no more is sent at once than a service takes in unanswered.
PART_BYTES = 60_000

Case = Mapping[str, Any]


class BatchLine(TypedDict):
    """What is answered to one case of a batch: its number, counted from 1, and the answer or the problem.

    `retry_after_s` stands beside the problem of a case that was more than was agreed.
    """

    line: int
    retry_after_s: NotRequired[int]
    answer: NotRequired[Recommendation]
    problem: NotRequired[ProblemDocument]


class Thawline:
    """A service, at its address. Close it, or use it in a `with`."""

    def __init__(
        self,
        base_url: str,
        *,
        key: str = "",
        token: Callable[[str], str] | None = None,
        timeout_s: float = 10,
        tries: int = 3,
        pause: Callable[[float], None] = time.sleep,
        transport: httpx.BaseTransport | None = None,
    ) -> None:
        """Prepare to call.

        Args:
            base_url: Where the service is found, without a slash at its end.
            key: The API key, where the operator asks for one.
            token: Makes a fresh CDS Hooks JWT for an address, where the operator asks for one.
            timeout_s: Seconds to wait for a connection, and for each part of an answer.
            tries: How often a request is sent at most.
            pause: Waits for so many seconds before a request is sent again.
            transport: How requests travel; httpx's own when left out.
        """
        headers = {"X-API-Key": key} if key else {}
        self._http = httpx.Client(base_url=base_url, headers=headers, timeout=timeout_s, transport=transport)
        self._token = token
        self._tries = tries
        self._pause = pause

    def __enter__(self) -> Thawline:
        """Give the service itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the connections."""
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def recommend(self, case: Case, *, trace: bool = False) -> Recommendation:
        """Answer a case; with `trace`, also what did not apply and what is open. Every method raises CallError."""
        query = {"trace": "full"} if trace else {}
        return cast("Recommendation", self._sent("/v1/recommendations", case, query))

    def answer_batch(self, cases: Iterable[Case]) -> Iterator[BatchLine]:
        """Answer many cases in their order, while they are read. A case that cannot be used has its problem.

        Cases that were more than was agreed in a minute are sent again when the service says, if that is soon.
        """
        before = 0
        for part in _parts(cases):
            for place, told in sorted(self._answered_part(part).items()):
                yield cast("BatchLine", {**told, "line": before + place + 1})
            before += len(part)

    def review_cycle(self, case: Case) -> CycleReview:
        """Say whether one freeze and thaw was enough."""
        return cast("CycleReview", self._sent("/v1/cycle-reviews", case))

    def review_healing(self, case: Case) -> HealingReview:
        """Say whether a frozen lesion heals as it should."""
        return cast("HealingReview", self._sent("/v1/healing-reviews", case))

    def write_paper(self, kind: str, request: Mapping[str, Any], form: Literal["pdf", "html", "markdown"]) -> bytes:
        """Write a paper (`owner-sheet`, `consent` or `chart-note`) about an answered case."""
        asked = {**request, "format": form}
        return self._answered("POST", f"/v1/papers/{kind}", json=asked, headers={"Accept": PAPERS[form]}).content

    def what_would_change(self, case: Case) -> WhatWouldChange:
        """Search what would change the verdicts of a case."""
        return cast("WhatWouldChange", self._sent("/v1/what-would-change", case))

    def reproduce(self, record: Mapping[str, Any]) -> Reproduction:
        """Give a recorded answer again, and tell every difference."""
        return cast("Reproduction", self._sent("/v1/reproductions", record))

    def estimate_freeze(self, **question: str | float) -> FreezeAnswer:
        """Tell what one freeze reaches: `applicator`, `diameter_mm`, `seconds`, `site` and more."""
        return cast("FreezeAnswer", self._read("/v1/estimates", question))

    def draw_freeze(self, **question: str | float) -> str:
        """Draw what one freeze reaches, as SVG."""
        return self._answered("GET", "/v1/estimates", params=question, headers={"Accept": SVG}).text

    def measure_pool(self, **question: str | float) -> PoolAnswer:
        """Tell how a pool stands in a tilted cone: `bore_mm`, `fill_mm`, `degrees` and more."""
        return cast("PoolAnswer", self._read("/v1/pools", question))

    def read_rule_book(self) -> RuleBookPage:
        """Read which rule book is loaded, and the decisions it takes."""
        return cast("RuleBookPage", self._read("/v1/rule-book"))

    def list_rules(self, decision: str = "") -> RuleList:
        """List the rules, or those of one decision."""
        return cast("RuleList", self._read("/v1/rules", {"decision": decision} if decision else {}))

    def read_rule(self, rule: str) -> RulePage:
        """Read one rule by its path, decision/name, as reasons name it."""
        return cast("RulePage", self._read(f"/v1/rules/{rule}"))

    def list_sources(self) -> SourceList:
        """List the publications that rules cite."""
        return cast("SourceList", self._read("/v1/sources"))

    def read_vocabulary(self) -> VocabularyPage:
        """Read everything that a case may state."""
        return cast("VocabularyPage", self._read("/v1/vocabulary"))

    def discover_cds_services(self) -> CdsServiceList:
        """List the services of CDS Hooks."""
        return cast("CdsServiceList", self._read("/cds-services"))

    def call_cds_service(self, service: str, call: Mapping[str, Any]) -> CdsCards:
        """Answer a hook with cards."""
        return cast("CdsCards", self._sent(f"/cds-services/{service}", call))

    def send_cds_feedback(self, service: str, feedback: Mapping[str, Any]) -> FeedbackReceived:
        """Tell what came of cards. It leaves a line in a log, so that it is sent once."""
        path = f"/cds-services/{service}/feedback"
        return cast("FeedbackReceived", self._answered("POST", path, tries=1, json=feedback).json())

    def read_code_list(self, name: str) -> CodeSystem:
        """Read a code list as a FHIR CodeSystem."""
        return cast("CodeSystem", self._read(f"/fhir/CodeSystem/{name}"))

    def livez(self) -> Alive:
        """Ask whether the process answers."""
        return cast("Alive", self._read("/livez"))

    def readyz(self) -> Ready:
        """Ask whether cases may be sent; waits while the service says when to ask again."""
        return cast("Ready", self._read("/readyz"))

    def read_version(self) -> VersionPage:
        """Read which versions answer."""
        return cast("VersionPage", self._read("/version"))

    def read_problem(self, kind: str) -> ProblemPage:
        """Read what a kind of problem means, and what to do about it."""
        return cast("ProblemPage", self._read(f"/problems/{kind}"))

    def _read(self, path: str, query: Mapping[str, str | float] | None = None) -> Any:
        return self._answered("GET", path, params=query or {}, headers={"Accept": JSON}).json()

    def _sent(self, path: str, body: Mapping[str, Any], query: Mapping[str, str] | None = None) -> Any:
        return self._answered("POST", path, json=body, params=query or {}).json()

    def _answered(self, method: str, path: str, *, tries: int = 0, **how: Any) -> httpx.Response:
        """Send a request until it is answered, as often as is safe and was asked for."""
        tries = tries or self._tries
        while True:
            tries -= 1
            told = self._told(self._request(method, path, **how))
            if isinstance(told, httpx.Response):
                return told
            wait_s = told.retry_after_s
            if tries < 1 or wait_s is None or wait_s > LONGEST_WAIT_S:
                raise told
            self._pause(wait_s)

    def _answered_part(self, lines: Sequence[bytes]) -> dict[int, dict[str, Any]]:
        """What is told of each line of a part of a batch, by its place."""
        told: dict[int, dict[str, Any]] = {}
        sent = list(range(len(lines)))
        while sent:
            content = b"".join(lines[place] for place in sent)
            written = self._answered("POST", "/v1/batches", content=content, headers={"Content-Type": NDJSON}).text
            for one in map(json.loads, written.splitlines()):
                told[sent[one["line"] - 1]] = one
            late = [place for place in sent if "retry_after_s" in told.get(place, {})]
            wait_s = max((told[place]["retry_after_s"] for place in late), default=0)
            if len(late) == len(sent) or wait_s > LONGEST_WAIT_S:
                break
            if late:
                self._pause(wait_s)
            sent = late
        return told

    def _told(self, request: httpx.Request) -> httpx.Response | CallError:
        """What came of sending a request once."""
        try:
            response = self._http.send(request)
        except httpx.TransportError as error:
            unsent = isinstance(error, httpx.ConnectError)
            return Unreachable(
                f"{request.method} {request.url.path}: {type(error).__name__}", PAUSE_S if unsent else None
            )
        if response.is_success:
            return response
        return refusal_of(response.status_code, response.content, response.headers)

    def _request(self, method: str, path: str, **how: Any) -> httpx.Request:
        request = self._http.build_request(method, path, **how)
        if self._token is not None and path.startswith("/cds-services"):
            request.headers["Authorization"] = f"Bearer {self._token(str(request.url))}"
        return request


def _parts(cases: Iterable[Case]) -> Iterator[list[bytes]]:
    """The lines of a batch, together as many as may be sent at once."""
    lines: list[bytes] = []
    size = 0
    for case in cases:
        line = json.dumps(case, separators=(",", ":"), allow_nan=False).encode() + b"\n"
        if lines and size + len(line) > PART_BYTES:
            yield lines
            lines, size = [], 0
        lines.append(line)
        size += len(line)
    if lines:
        yield lines
