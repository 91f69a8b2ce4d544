"""Say what is wrong with a record that cannot be reproduced, each fault at its place."""

from __future__ import annotations

import contextlib
import datetime
import re
from collections.abc import Iterator, Mapping
from typing import Any

from decision.case import PARTS
from decision.errors import CaseError, CaseFault

__all__ = ["DIGEST", "FRAME", "GREATEST_CONTRACT", "LONGEST", "answer_in", "inside", "is_digest"]

DIGEST = "^sha-256:[0-9a-f]{64}$"
LONGEST = 64  # characters of a version
GREATEST_CONTRACT = 2**31 - 1

PARTS_OF_RECORD = ("record", "moment", "case", "answer", "rules", "provenance")
# The digests and versions of an answer: their differences are told as causes.
FRAME = ("rule_book", "answer_contract", "engine_version", "freeze_table", "conclusion_digest", "case_digest")


def answer_in(record: object) -> Mapping[str, Any]:
    """The answer in a record, whole enough to be held against another one.

    Raises:
        CaseError: With every fault of the record. No value is repeated in a message.
    """
    faults = list(_faults(record))
    if faults:
        raise CaseError(faults)
    return record["answer"]  # type: ignore[no-any-return, index]


@contextlib.contextmanager
def inside(part: str) -> Iterator[None]:
    """Tell faults of a case at their places in the record around it."""
    try:
        yield
    except CaseError as error:
        faults = [CaseFault(f"#/{part}{one.pointer[1:]}", one.code, one.message) for one in error.faults]
        raise CaseError(faults) from None


def _faults(record: object) -> Iterator[CaseFault]:
    if not isinstance(record, dict):
        yield CaseFault("#", "wrong_type", "the record must be an object that holds a case and its answer.")
        return
    if any(name not in PARTS_OF_RECORD for name in record):
        yield CaseFault("#", "unknown_field", f"the parts of a record are {', '.join(PARTS_OF_RECORD)}.")
    for name in ("case", "answer"):
        if not isinstance(record.get(name), dict):
            yield CaseFault(f"#/{name}", "required", f"{name} must be an object, as it stands in a record.")
    for name in ("rules", "provenance"):
        if not isinstance(record.get(name, {}), dict):
            yield CaseFault(f"#/{name}", "wrong_type", f"{name} must be an object, as it stands in a record.")
    if not _is_text(record.get("record", "")):
        yield CaseFault("#/record", "wrong_type", f"record must be text of at most {LONGEST} characters.")
    if record.get("moment", "before") not in tuple(PARTS):
        yield CaseFault("#/moment", "not_allowed", f"moment must be one of: {', '.join(PARTS)}.")
    if isinstance(record.get("answer"), dict):
        yield from _faults_of_answer(record["answer"])


def _faults_of_answer(answer: Mapping[str, Any]) -> Iterator[CaseFault]:
    for part in ("rule_book", "freeze_table"):
        which = answer.get(part)
        if not isinstance(which, dict):
            yield CaseFault(f"#/answer/{part}", "required", f"{part} must be an object, as it stands in an answer.")
            continue
        if any(name not in ("version", "digest") for name in which):
            yield CaseFault(f"#/answer/{part}", "unknown_field", f"{part} holds version and digest.")
        if not _is_text(which.get("version")):
            yield CaseFault(f"#/answer/{part}/version", "required", "version must be text, as it stands there.")
        if not is_digest(which.get("digest")):
            yield CaseFault(f"#/answer/{part}/digest", "required", _DIGEST_WANTED)
    for name in ("conclusion_digest", "case_digest"):
        if not is_digest(answer.get(name)):
            yield CaseFault(f"#/answer/{name}", "required", _DIGEST_WANTED)
    if not _is_text(answer.get("engine_version")):
        yield CaseFault("#/answer/engine_version", "required", "engine_version must be text, as it stands there.")
    if not _is_contract(answer.get("answer_contract")):
        yield CaseFault("#/answer/answer_contract", "required", "answer_contract must be a whole number.")
    if not _is_date(answer.get("as_of")):
        yield CaseFault("#/answer/as_of", "wrong_format", "as_of must be a calendar date, written year-month-day.")


_DIGEST_WANTED = "the digest must be sha-256: and 64 hexadecimal digits."


def is_digest(written: object) -> bool:
    """Whether something is written as a digest is."""
    return isinstance(written, str) and re.fullmatch(DIGEST.strip("^$"), written) is not None


def _is_text(written: object) -> bool:
    return isinstance(written, str) and len(written) <= LONGEST


def _is_contract(written: object) -> bool:
    whole = isinstance(written, int | float) and not isinstance(written, bool) and float(written).is_integer()
    return whole and 0 <= float(written) <= GREATEST_CONTRACT  # type: ignore[arg-type]


def _is_date(written: Any) -> bool:
    try:
        return bool(datetime.date.fromisoformat(written).isoformat() == written)
    except (TypeError, ValueError):
        return False
