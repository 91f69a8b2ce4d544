"""What is asked for when a paper is asked for: the case, the lesion, what was done, and what the chart adds.

Names of owners and animals have no field here.
"""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, Strict, ValidationError, create_model

from decision.case_faults import case_faults
from decision.case_shape import LESION_ID, case_shape
from decision.errors import CaseError
from decision.vocabulary import Vocabulary

__all__ = ["MEDIA", "PaperRequest", "paper_shape", "read_paper_request"]

MEDIA = {"pdf": "application/pdf", "html": "text/html", "markdown": "text/markdown"}
MOST_CYCLES = 10
LOT = r"^[A-Za-z0-9][A-Za-z0-9./-]{0,31}$"
EXPIRES = r"^[0-9]{4}-(0[1-9]|1[0-2])$"


@dataclass(frozen=True, slots=True)
class PaperRequest:
    """A paper that is asked for.

    Attributes:
        case: The case as it would be sent for a recommendation.
        lesion_id: The lesion that the paper is about; None for the only one.
        cycles: What was done, cycle by cycle.
        chart: What the practice adds for the chart.
        form: A key of MEDIA; None where the caller says so in another way.
    """

    case: dict[str, Any]
    lesion_id: str | None
    cycles: tuple[Mapping[str, Any], ...]
    chart: Mapping[str, str]
    form: str | None


def read_paper_request(data: object, vocabulary: Vocabulary) -> PaperRequest:
    """Read a request for a paper from JSON data.

    Raises:
        CaseError: With every fault, each at its JSON Pointer. No value is repeated in a message.
    """
    try:
        message: Any = paper_shape(vocabulary).model_validate(data)
    except ValidationError as error:
        raise CaseError(case_faults(error, vocabulary)) from None
    plain: dict[str, Any] = message.model_dump(exclude_unset=True)
    return PaperRequest(
        case=plain["case"],
        lesion_id=plain.get("lesion_id"),
        cycles=tuple(plain.get("cycles", ())),
        chart=plain.get("chart", {}),
        form=plain.get("format"),
    )


def _left_out() -> Any:
    """Never used as a value: what is left out of a request is left out of what is read from it too."""
    return None


class ChartMessage(BaseModel):
    """What the practice adds for the chart; each part is a blank on the paper when it is left out."""

    model_config = ConfigDict(extra="forbid", title="Chart")

    side: Literal["left", "right", "midline"] = Field(
        default_factory=_left_out, description="On which side the lesion is."
    )
    photo: Literal["taken", "not_taken"] = Field(
        default_factory=_left_out, description="Whether a photograph was taken."
    )
    tissue: Literal["submitted", "kept", "none_taken"] = Field(
        default_factory=_left_out,
        description="What became of tissue. That sampling was declined is stated in the case.",
    )
    canister_lot: Annotated[str, Strict()] = Field(
        default_factory=_left_out, pattern=LOT, description="Lot of the canister.", examples=["L2611-07"]
    )
    canister_expires: Annotated[str, Strict()] = Field(
        default_factory=_left_out,
        pattern=EXPIRES,
        description="Year and month in which the canister expires.",
        examples=["2028-06"],
    )


@functools.lru_cache(maxsize=24)
def paper_shape(vocabulary: Vocabulary) -> type[BaseModel]:
    """The pydantic model of a request for a paper, around the shape of a case. It stands in the OpenAPI document."""
    cycle: Any = case_shape(vocabulary, "during").model_fields["cycle"].annotation
    said = {
        "lesion_id": "Which lesion it is about, when the case has several.",
        "cycles": "What was done, cycle by cycle, for the chart.",
        "chart": "What the practice adds for the chart.",
        "format": "How it is laid out; the Accept header decides when it is left out, PDF for one that does not care.",
    }
    optional: dict[str, Any] = {
        "lesion_id": (Annotated[str, Strict(), Field(pattern=LESION_ID)], said["lesion_id"]),
        "cycles": (Annotated[list.__class_getitem__(cycle), Field(max_length=MOST_CYCLES)], said["cycles"]),
        "chart": (ChartMessage, said["chart"]),
        "format": (Literal[tuple(MEDIA)], said["format"]),
    }
    fields: dict[str, Any] = {"case": (case_shape(vocabulary), Field(description="The case, as for a recommendation."))}
    for name, (kind, words) in optional.items():
        fields[name] = (kind, Field(default_factory=_left_out, description=words))
    config = ConfigDict(extra="forbid", title="PaperRequest")
    return create_model("PaperRequestMessage", __config__=config, **fields)
