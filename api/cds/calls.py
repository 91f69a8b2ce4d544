"""The shapes of what a CDS client sends: strict about what the protocol asks for, open for anything more."""

from __future__ import annotations

import datetime
import re
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, TypeAdapter, model_validator

__all__ = ["CALL", "FEEDBACK", "CdsFeedback"]

UUID = r"^[0-9a-fA-F]{8}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{4}-[0-9a-fA-F]{12}$"
MOST_SELECTIONS = 1_000
MOST_FEEDBACK = 100
_TIMESTAMP = re.compile(
    r"(\d{4}-\d{2}-\d{2})[Tt]([01]\d|2[0-3]):[0-5]\d:([0-5]\d|60)(\.\d{1,40})?([Zz]|[+-]([01]\d|2[0-3]):[0-5]\d)",
    re.ASCII,
)


def _optional(description: str, **limits: Any) -> Any:
    """A member that may be left out, and may not be null."""
    return Field(default_factory=lambda: None, description=description, **limits)


def _timestamp(text: str) -> str:
    """Accept a date and time with its offset (RFC 3339)."""
    found = _TIMESTAMP.fullmatch(text)
    if found is None:
        raise ValueError("not a date and time")
    datetime.date.fromisoformat(found[1])
    return text


_Name = Annotated[str, Field(min_length=1, max_length=1_000)]
_Uuid = Annotated[str, Field(pattern=UUID, max_length=36)]
_Timestamp = Annotated[
    str, AfterValidator(_timestamp), Field(max_length=100, json_schema_extra={"format": "date-time"})
]
_Fhir = dict[str, Any]


class _Open(BaseModel):
    model_config = ConfigDict(extra="allow", strict=True)


class CdsContext(_Open):
    """What every hook tells: who works, and with which patient. A hook may tell more, which is not looked at."""

    userId: _Name = Field(description="The user, as a reference.")  # noqa: N815
    patientId: _Name = Field(description="The id of the patient.")  # noqa: N815
    encounterId: str | None = _optional("The id of the encounter.", max_length=1_000)  # noqa: N815


class CdsOrderSelectContext(CdsContext):
    """The context of order-select."""

    selections: list[_Name] = Field(description="The orders just selected, as references.", max_length=MOST_SELECTIONS)
    draftOrders: _Fhir = Field(description="A Bundle of all draft orders.")  # noqa: N815


class CdsOrderSignContext(CdsContext):
    """The context of order-sign."""

    draftOrders: _Fhir = Field(description="A Bundle of the orders about to be signed.")  # noqa: N815


class CdsLesionChartContext(CdsContext):
    """The context of our own hook, which is defined in openapi/hooks."""

    lesions: _Fhir = Field(description="A Bundle of the lesions being charted: Conditions and Observations.")


class _Call(_Open):
    model_config = ConfigDict(json_schema_extra={"dependentRequired": {"fhirAuthorization": ["fhirServer"]}})

    hookInstance: _Uuid = Field(description="Names this call (a UUID).")  # noqa: N815
    prefetch: _Fhir = _optional("What was prefetched, by key.")
    fhirServer: Annotated[str, Field(pattern=r"^https?://[^\x00-\x20]+$", max_length=2_000)] = _optional(  # noqa: N815
        "The FHIR server of the client. It is never called."
    )
    fhirAuthorization: _Fhir = _optional("Access to that server. It is neither used nor kept.")  # noqa: N815
    extension: _Fhir = _optional("Extensions; ours may state what no FHIR resource holds.")

    @model_validator(mode="after")
    def _server_is_named(self) -> _Call:
        if self.fhirAuthorization is not None and self.fhirServer is None:
            raise ValueError("fhirServer")
        return self


class CdsPatientViewCall(_Call):
    """A record has been opened."""

    hook: Literal["patient-view"] = Field(description="The hook.")
    context: CdsContext = Field(description="What the hook tells.")


class CdsOrderSelectCall(_Call):
    """An order has been selected and is not yet signed."""

    hook: Literal["order-select"] = Field(description="The hook.")
    context: CdsOrderSelectContext = Field(description="What the hook tells.")


class CdsOrderSignCall(_Call):
    """Orders are about to be signed."""

    hook: Literal["order-sign"] = Field(description="The hook.")
    context: CdsOrderSignContext = Field(description="What the hook tells.")


class CdsLesionChartCall(_Call):
    """A lesion is being charted, by our own hook."""

    hook: Literal["org.example.thawline.skin-lesion-chart"] = Field(description="The hook.")
    context: CdsLesionChartContext = Field(description="What the hook tells.")


class CdsReason(_Open):
    """Why a card was not followed, as a coding."""

    code: _Name = Field(description="The code.")
    system: str = _optional("The code system.", max_length=2_000)
    display: str = _optional("Its words.", max_length=1_000)


class CdsOverrideReason(_Open):
    """Why a card was not followed."""

    reason: CdsReason = _optional("One of the reasons that the card offered.")
    userComment: str = _optional("What the user wrote. It is not kept.", max_length=10_000)  # noqa: N815


class CdsAcceptedSuggestion(_Open):
    """A suggestion that was followed."""

    id: _Uuid = Field(description="The uuid of the suggestion.")


class _Entry(_Open):
    card: _Uuid = Field(description="The uuid of the card.")
    outcomeTimestamp: _Timestamp = Field(description="When (RFC 3339).")  # noqa: N815


class CdsAccepted(_Entry):
    """A card that was followed."""

    outcome: Literal["accepted"] = Field(description="What came of the card.")
    acceptedSuggestions: list[CdsAcceptedSuggestion] = Field(  # noqa: N815
        description="The suggestions that were followed.", min_length=1, max_length=MOST_FEEDBACK
    )


class CdsOverridden(_Entry):
    """A card that was not followed."""

    outcome: Literal["overridden"] = Field(description="What came of the card.")
    overrideReason: CdsOverrideReason = _optional("Why.")  # noqa: N815


class CdsFeedback(_Open):
    """What came of cards."""

    feedback: list[Annotated[CdsAccepted | CdsOverridden, Field(discriminator="outcome")]] = Field(
        description="One entry for each card.", min_length=1, max_length=MOST_FEEDBACK
    )


_AnyCall = Annotated[
    CdsPatientViewCall | CdsOrderSelectCall | CdsOrderSignCall | CdsLesionChartCall, Field(discriminator="hook")
]
CALL: TypeAdapter[Any] = TypeAdapter(_AnyCall)
FEEDBACK: TypeAdapter[Any] = TypeAdapter(CdsFeedback)
