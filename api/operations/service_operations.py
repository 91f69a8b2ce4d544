"""Every operation of the service, as the OpenAPI document describes it beyond its words."""

from __future__ import annotations

from typing import Any

from starlette.responses import HTMLResponse, PlainTextResponse

from api.operations.operation import JSON, body, link, operation, page, parameter

__all__ = [
    "ALIVE",
    "DOCS",
    "LIST_RULES",
    "LIST_SOURCES",
    "METRICS",
    "OPENAPI",
    "READY",
    "READ_PROBLEM",
    "READ_RULE",
    "READ_RULE_BOOK",
    "READ_VOCABULARY",
    "RECOMMEND",
    "REVIEW_CYCLE",
    "REVIEW_HEALING",
    "VERSION",
]

HTML = str(HTMLResponse.media_type)
PLAIN = str(PlainTextResponse.media_type)
DECISION = r"^[a-z][a-z0-9_]{0,63}$"
NAME = r"^[a-z][a-z0-9_]{0,79}$"
KIND = r"^[a-z][a-z-]{0,63}$"
STATED = "what is stated, and nothing else. What is not known is left out, never null."

TRACE = parameter(
    "trace",
    "query",
    "Also tell which rules were outranked and by which, which are open and what they need, which did not apply, and "
    "which hold and only matter for a freeze where none is given.",
    "full",
    enum=["full"],
)
OF_DECISION = parameter(
    "decision", "query", "Only the rules of this decision.", "a_decision", pattern=DECISION, maxLength=64
)
CASE_REFUSALS = (400, 404, 408, 413, 415, 422)
TO_WHAT_ANSWERED = {
    "rules": link("listRules", "The rules that reasons name."),
    "ruleBook": link("readRuleBook", "The rule book that answered."),
    "sources": link("listSources", "The publications that reasons cite."),
}


def _never_shed(described: dict[str, Any]) -> dict[str, Any]:
    """The same operation without the refusal of those who are too many."""
    return {**described, "responses": {status: one for status, one in described["responses"].items() if status != 503}}


RECOMMEND = body(
    operation(
        "recommend",
        "recommendations",
        "Answer a case",
        answers={JSON: "Recommendation"},
        parameters=[TRACE],
        refusals=CASE_REFUSALS,
        links=TO_WHAT_ANSWERED,
    ),
    f"The case: {STATED}",
    "CaseMessage",
)
REVIEW_CYCLE = body(
    operation(
        "reviewCycle",
        "reviews",
        "Review one freeze and thaw",
        answers={JSON: "CycleReview"},
        parameters=[TRACE],
        refusals=CASE_REFUSALS,
        links=TO_WHAT_ANSWERED,
    ),
    f"The patient, the lesion and one cycle: {STATED}",
    "CycleReviewCaseMessage",
)
REVIEW_HEALING = body(
    operation(
        "reviewHealing",
        "reviews",
        "Review healing",
        answers={JSON: "HealingReview"},
        parameters=[TRACE],
        refusals=CASE_REFUSALS,
        links=TO_WHAT_ANSWERED,
    ),
    f"The patient, the lesion and what is seen of it now: {STATED}",
    "HealingReviewCaseMessage",
)
READ_RULE_BOOK = page(
    "readRuleBook",
    "rule book",
    "Read the rule book",
    answers={JSON: "RuleBookPage"},
    links={
        "rules": link("listRules", "The rules of the first decision.", decision="$response.body#/decisions/0/decision")
    },
)
LIST_RULES = page(
    "listRules",
    "rule book",
    "List rules",
    answers={JSON: "RuleList"},
    parameters=[OF_DECISION],
    refusals=(404,),
    links={
        "rule": link(
            "readRule",
            "The first rule in full.",
            decision="$response.body#/rules/0/decision",
            name="$response.body#/rules/0/name",
        )
    },
)
READ_RULE = page(
    "readRule",
    "rule book",
    "Read a rule",
    answers={JSON: "RulePage"},
    parameters=[
        parameter("decision", "path", "The decision.", "a_decision", pattern=DECISION, maxLength=64),
        parameter("name", "path", "The rule in it.", "a_rule", pattern=NAME, maxLength=80),
    ],
    refusals=(404,),
    links={"sources": link("listSources", "The publications that the rule cites.")},
)
LIST_SOURCES = page("listSources", "rule book", "List sources", answers={JSON: "SourceList"})
READ_VOCABULARY = page("readVocabulary", "rule book", "Read the vocabulary", answers={JSON: "VocabularyPage"})
ALIVE = _never_shed(operation("livez", "operation", "Is the process alive", answers={JSON: "Alive"}, refusals=(400,)))
READY = operation("readyz", "operation", "May cases be sent", answers={JSON: "Ready"}, refusals=(400,))
METRICS = _never_shed(
    operation("readMetrics", "operation", "Read counts and times", answers={PLAIN: "Metrics"}, refusals=(400,))
)
VERSION = page("readVersion", "operation", "Read the versions", answers={JSON: "VersionPage"})
READ_PROBLEM = page(
    "readProblem",
    "description",
    "Read what a problem means",
    answers={JSON: "ProblemPage"},
    parameters=[parameter("name", "path", "The kind of problem.", "not-found", pattern=KIND, maxLength=64)],
    refusals=(404,),
)
OPENAPI = page("readOpenapi", "description", "Read the OpenAPI document", answers={JSON: "OpenapiDocument"})
DOCS = page("readDocs", "description", "Read the description as a page", answers={HTML: "Html"})
