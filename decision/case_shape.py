"""The shape of a case: a pydantic model for each moment, made from the vocabulary.

It stands in the OpenAPI document, and what callers send is read by it; what the facts then mean is for case.py.
"""

from __future__ import annotations

import datetime
import functools
from types import NoneType
from typing import Annotated, Any, Literal, NotRequired, get_args, get_origin

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, Strict, TypeAdapter, create_model, with_config
from typing_extensions import TypedDict

from decision.vocabulary import Input, Vocabulary

__all__ = ["PARTS", "case_reader", "case_shape"]

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

OPEN_PARTS = ("patient", "lesion")  # those of which a record may speak without a value that can be read


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
            _optional(
                "Country, or country and subdivision (ISO 3166), for public holidays. A subdivision without any of its "
                "own has its country's; whose they are is told as `holidays_of`.",
                "GB-SCT",
                pattern=REGION,
            ),
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


@functools.lru_cache(maxsize=24)
def case_reader(vocabulary: Vocabulary, moment: str = "before") -> TypeAdapter[dict[str, Any]]:
    """What reads a case of that shape into plain data: no object is made, and what is left out is left out."""
    return TypeAdapter(_plain(case_shape(vocabulary, moment)))


def _plain(kind: Any) -> Any:
    """A type with every model in it as a dictionary of the same fields."""
    if get_origin(kind) is list:
        (member,) = get_args(kind)
        return list.__class_getitem__(_plain(member))
    if not (isinstance(kind, type) and issubclass(kind, BaseModel)):
        return kind
    fields = {}
    for name, field in kind.model_fields.items():
        limited: Any = _plain(field.annotation)
        if field.metadata:
            limited = Annotated[limited, *field.metadata]
        fields[name] = limited if field.is_required() else NotRequired[limited]
    made = TypedDict(kind.__name__, fields)  # type: ignore[misc]
    return with_config(ConfigDict(extra="forbid"))(made)


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
    """A field that may be left out. It may not be null: what is not known is not sent.

    Its default is never used: a field left out is left out of the plain case too (exclude_unset).
    """
    examples = None if example is None else [example]
    return Field(default_factory=NoneType, description=description, examples=examples, **limits)


def _fields_about(part: str, vocabulary: Vocabulary, *, named: bool) -> dict[str, Any]:
    fields: dict[str, Any] = {}
    if part == "lesion" and named:
        fields["lesion_id"] = (
            Annotated[str, Strict()],
            Field(pattern=LESION_ID, description="Your name for the lesion; each has its own.", examples=["flank"]),
        )
    groups = tuple(group.name for group in vocabulary.groups.values() if group.about == part)
    if groups:
        fields["ruled_out"] = (
            list[Literal[groups]],  # type: ignore[valid-type]
            _optional("Check lists ticked as checked, none of these.", list(groups), max_length=len(groups)),
        )
    names = tuple(one.name for one in vocabulary.about(part))
    if part in OPEN_PARTS and names:
        fields["left_open"] = (
            list[Literal[names]],  # type: ignore[valid-type]
            _optional(
                "Inputs that something speaks of and whose value is not known: neither presumed nor ticked off.",
                list(names[:1]),
                max_length=len(names),
            ),
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
