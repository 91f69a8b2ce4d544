"""Say to an editor how the evidence and the upkeep of a rule are written: parts of the schema of rule files.

The words of GRADE (certainty, strength) and Arden (validation) are explained here, each where it is typed.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from decision.input_schema import Schema, choice_schema, closed_schema, text_schema

__all__ = ["evidence_schema", "maintenance_schema"]

_CERTAINTY = {
    "high": "Further research is very unlikely to change it (GRADE).",
    "moderate": "Further research may change it.",
    "low": "Further research is likely to change it.",
    "very_low": "Any estimate is very uncertain.",
}
_STRENGTH = {
    "strong": "Nearly every informed clinician would follow it (GRADE).",
    "conditional": "Most would; it depends on patient and owner.",
    "good_practice": "So plainly right that nobody would test it.",
}
_VALIDATION = {
    "production": "Released for use (Arden).",
    "research": "Written for study only.",
    "testing": "Written, and not yet released by a clinician.",
    "expired": "Out of date; kept for the record.",
}


def evidence_schema(sources: Mapping[str, Mapping[str, Any]]) -> Schema:
    """How the evidence of a rule is written; the citations are keys of the sources given."""
    cited = {key: f"{one['authors']}. {one['title']}. {one['where']}" for key, one in sources.items()}
    keys: Schema = {"type": "string"} if not cited else choice_schema(cited)
    said = "What the evidence does not show. Without a citation it says: common practice, no source."
    fields: Schema = {
        "certainty": choice_schema(_CERTAINTY),
        "strength": choice_schema(_STRENGTH),
        "citations": {"type": "array", "items": keys, "description": "Keys of sources.yaml; [] for none."},
        "species_direct": {"type": "boolean", "description": "Was what it says measured in animals? See README."},
        "cryogen_direct": {"type": "boolean", "description": "Measured with this kind of cryogen?"},
        "limits": text_schema(10, said=said),
    }
    return closed_schema(fields, required=list(fields))


def maintenance_schema() -> Schema:
    """How the author, the reviewer and the revisions of a rule are written."""
    revision: Schema = {
        "version": {"type": "integer"},
        "date": {"type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$"},
        "note": {"type": "string"},
    }
    fields: Schema = {
        "author": {"type": "string"},
        "specialist": {"type": "string", "description": "The clinician who reviewed it, or that none has."},
        "validation": choice_schema(_VALIDATION),
        "revisions": {"type": "array", "minItems": 1, "items": closed_schema(revision, required=list(revision))},
    }
    return closed_schema(fields, required=list(fields))
