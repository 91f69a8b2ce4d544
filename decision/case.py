"""The case: what the caller states, checked and frozen, and the facts that follow for one lesion.

A case is read from plain JSON data against a shape made from the vocabulary: strict types, ranges, allowed codes,
nothing unknown. What is not stated is absent, never false. Facts are stated, ticked off on a check list (which is
stating them), derived from those, or presumed where the vocabulary says so.
"""

from __future__ import annotations

import datetime
import functools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, Strict, ValidationError, create_model

from decision.case_faults import case_faults
from decision.derived import derive
from decision.errors import CaseError
from decision.record import case_bytes, sha256_of
from decision.vocabulary import Input, Value, Vocabulary

__all__ = ["PARTS", "Case", "Facts", "Lesion", "case_shape", "facts_of", "read_case"]

MOST_LESIONS = 20
MOST_SIZES = 30
LESION_ID = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,63}$"
VERSION = r"^[0-9]{4}\.[0-9]{2}\.[0-9]{1,4}$"
REGION = r"^[A-Z]{2}(-[A-Z0-9]{1,3})?$"

# What a caller may state, by the moment of the job: before the freeze, during it (one cycle), after it (healing).
PARTS = {
    "before": ("patient", "lesion", "equipment", "operator"),
    "during": ("patient", "lesion", "equipment", "cycle"),
    "after": ("patient", "lesion", "healing"),
}


@dataclass(frozen=True, slots=True)
class Lesion:
    """One lesion: what is stated about it."""

    lesion_id: str
    stated: Mapping[str, Value]


@dataclass(frozen=True, slots=True)
class Case:
    """A case as stated. `plain` is the same as JSON data, for the digest and the record."""

    moment: str
    as_of: datetime.date
    rule_book_version: str | None
    region: str | None
    stated: Mapping[str, Value]
    sizes_at_hand: Mapping[str, tuple[float, ...]]
    lesions: tuple[Lesion, ...]
    plain: Mapping[str, Any]

    @property
    def digest(self) -> str:
        """SHA-256 over the RFC 8785 bytes of the case."""
        return sha256_of(case_bytes(self.plain))


@dataclass(frozen=True, slots=True)
class Facts:
    """What is known of one lesion: with the presumptions, without them, and which were made."""

    known: dict[str, Value]
    without_presumptions: dict[str, Value]
    presumed: tuple[str, ...]


def read_case(data: object, vocabulary: Vocabulary, *, today: datetime.date, moment: str = "before") -> Case:
    """Read a case from JSON data.

    Args:
        data: `{as_of?, rule_book_version?, region?, patient, lesions, equipment?, operator?}` as plain data; during
            and after the freeze one `lesion`, and `cycle` or `healing`.
        vocabulary: The inputs of the rule book.
        today: The date that a missing `as_of` is filled with; it is part of the case from then on.
        moment: "before", "during" or "after".

    Returns:
        The case.

    Raises:
        CaseError: With every fault, each at its JSON Pointer. No value is repeated in a message.
    """
    shape = case_shape(vocabulary, moment)
    try:
        message: Any = shape.model_validate(data)
    except ValidationError as error:
        raise CaseError(case_faults(error, vocabulary)) from None
    plain: dict[str, Any] = message.model_dump(exclude_unset=True)
    as_of = plain.setdefault("as_of", today.isoformat())
    shared: dict[str, Any] = {}
    for part in PARTS[moment]:
        if part != "lesion":
            shared.update(_stated(plain.get(part, {}), vocabulary))
    sizes = {name: tuple(shared.pop(name)) for name in list(shared) if vocabulary.inputs[name].type == "numbers"}
    lesions = plain["lesions"] if moment == "before" else [{"lesion_id": "lesion", **plain["lesion"]}]
    return Case(
        moment=moment,
        as_of=datetime.date.fromisoformat(as_of),
        rule_book_version=plain.get("rule_book_version"),
        region=plain.get("region"),
        stated=shared,
        sizes_at_hand=sizes,
        lesions=tuple(Lesion(one["lesion_id"], _stated(one, vocabulary)) for one in lesions),
        plain=plain,
    )


def facts_of(case: Case, lesion: Lesion, vocabulary: Vocabulary) -> Facts:
    """Put together what is known of one lesion."""
    stated = {**case.stated, **lesion.stated}
    presumed = {name: value for name, value in _presumptions(vocabulary, case.moment) if name not in stated}
    with_presumptions = {**stated, **presumed}
    derived = derive({**with_presumptions, **case.sizes_at_hand})
    return Facts(
        known={**with_presumptions, **derived},
        without_presumptions={**stated, **_unpresumed(derived, presumed, stated, case, vocabulary)},
        presumed=tuple(presumed),
    )


def _unpresumed(
    derived: Mapping[str, Value],
    presumed: Mapping[str, Value],
    stated: Mapping[str, Value],
    case: Case,
    vocabulary: Vocabulary,
) -> Mapping[str, Value]:
    """The derived quantities without the presumptions: the same ones, unless a presumption is a parent of one."""
    if presumed.keys().isdisjoint(_parents(vocabulary)):
        return derived
    return derive({**stated, **case.sizes_at_hand})


@functools.lru_cache(maxsize=24)
def _parents(vocabulary: Vocabulary) -> frozenset[str]:
    return frozenset(parent for one in vocabulary.inputs.values() for parent in one.parents)


@functools.lru_cache(maxsize=24)
def case_shape(vocabulary: Vocabulary, moment: str = "before") -> type[BaseModel]:
    """The pydantic model of a case, made from the vocabulary. It also stands in the OpenAPI document."""
    parts = {part: _part_shape(part, vocabulary, moment) for part in PARTS[moment]}
    fields: dict[str, Any] = {
        "as_of": (_AsOf, _optional("Date of the answer (ISO 8601). Today when left out.", "2026-11-24")),
        "rule_book_version": (
            Annotated[str, Strict()],
            _optional("Answer by this version of the rule book and no other.", "2026.11.0", pattern=VERSION),
        ),
        "region": (
            Annotated[str, Strict()],
            _optional("Country, or country and subdivision (ISO 3166), for public holidays.", "GB-SCT", pattern=REGION),
        ),
        "patient": (parts["patient"], Field(description="What is stated about the patient.")),
    }
    if moment == "before":
        many = Field(min_length=1, max_length=MOST_LESIONS, description="One to twenty lesions.")
        fields["lesions"] = (list.__class_getitem__(parts["lesion"]), many)
    else:
        fields["lesion"] = (parts["lesion"], Field(description="What is stated about the lesion."))
    for part in PARTS[moment][2:]:
        described = _DESCRIBED[part]
        needed = part in ("cycle", "healing")
        fields[part] = (parts[part], Field(description=described) if needed else _optional(described))
    title = _TITLES[moment]
    return create_model(f"{title}Message", __config__=ConfigDict(extra="forbid", title=title), **fields)


_TITLES = {"before": "Case", "during": "CycleReviewCase", "after": "HealingReviewCase"}
_DESCRIBED = {
    "equipment": "What is at hand.",
    "operator": "What is stated about the operator.",
    "cycle": "What was done and seen in the cycle under review.",
    "healing": "What is seen now, and when the lesion was frozen.",
}


def _part_shape(part: str, vocabulary: Vocabulary, moment: str) -> type[BaseModel]:
    title = f"{part.capitalize()}{'' if moment == 'before' else moment.capitalize()}"
    return create_model(
        f"{title}Message",
        __config__=ConfigDict(extra="forbid", title=title),
        **_fields_about(part, vocabulary, named=moment == "before"),
    )


def _date(text: str) -> str:
    """Accept a calendar date in its one long form: a date has one digest."""
    if datetime.date.fromisoformat(text).isoformat() != text:
        raise ValueError("not written year-month-day")
    return text


_AsOf = Annotated[str, Strict(), AfterValidator(_date), Field(json_schema_extra={"format": "date"}, max_length=10)]


def _optional(description: str, example: object = None, **limits: Any) -> Any:
    """A field that may be left out. It may not be null: what is not known is not sent."""
    examples = None if example is None else [example]
    return Field(default_factory=_never, description=description, examples=examples, **limits)


def _never() -> Any:
    """Never used as a value: a field left out is left out of the plain case too (exclude_unset)."""
    return None


def _fields_about(part: str, vocabulary: Vocabulary, *, named: bool) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    if part == "lesion" and named:
        fields["lesion_id"] = (
            Annotated[str, Strict()],
            Field(pattern=LESION_ID, description="Your name for the lesion.", examples=["flank"]),
        )
    groups = tuple(group.name for group in vocabulary.groups.values() if group.about == part)
    if groups:
        fields["ruled_out"] = (
            list[Literal[groups]],  # type: ignore[valid-type]
            _optional("Check lists ticked as checked, none of these.", list(groups), max_length=len(groups)),
        )
    for one in vocabulary.about(part):
        fields[one.name] = (_type_of(one), _optional(_described(one)))
    return fields


def _described(one: Input) -> str:
    allowed = "; ".join(f"{code} = {words}" for code, words in one.allowed.items())
    return f"{one.question} {allowed}".strip()


def _type_of(one: Input) -> Any:
    if one.type == "boolean":
        return Annotated[bool, Strict()]
    if one.type == "code":
        return Literal[tuple(one.allowed)]
    number = Annotated[float, Strict(), Field(ge=one.low, le=one.high, allow_inf_nan=False)]
    return number if one.type == "number" else Annotated[list[number], Field(max_length=MOST_SIZES)]


def _stated(part: Mapping[str, Any], vocabulary: Vocabulary) -> dict[str, Any]:
    """What one part of the case states, ticked check lists included. A fact stated by itself beats the tick."""
    stated: dict[str, Any] = {}
    for group in part.get("ruled_out", ()):
        stated.update({one.name: one.absent for one in vocabulary.in_group(group)})
    stated.update({name: value for name, value in part.items() if name in vocabulary.inputs})
    return stated


@functools.lru_cache(maxsize=24)
def _presumptions(vocabulary: Vocabulary, moment: str) -> tuple[tuple[str, Value], ...]:
    inputs = [one for one in vocabulary.inputs.values() if one.about in PARTS[moment]]
    return tuple((one.name, one.presumed) for one in inputs if one.presumed is not None)
