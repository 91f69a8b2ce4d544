"""Read ServiceRequests: which of the drafts are orders to freeze, and which lesions they name."""

from __future__ import annotations

from collections.abc import Sequence

from api.fhir.bundles import Resource
from api.fhir.elements import Element
from api.fhir.inputs import FREEZE
from api.fhir.record import Reader

__all__ = ["freeze_orders", "in_doubt", "reasons_of", "written_as_r5"]

WITHDRAWN = ("entered-in-error", "revoked", "completed")


def freeze_orders(drafts: Sequence[Resource], reader: Reader) -> list[Resource]:
    """The orders to freeze among drafts."""
    return [one for one in drafts if one.kind == "ServiceRequest" and _freezes(one.element, reader)]


def in_doubt(drafts: Sequence[Resource], reader: Reader) -> list[Resource]:
    """The drafts that may be orders to freeze and cannot be read as one: by a code of ours that is unknown, or by none.

    A code is none when it is not written as FHIR writes codes. Orders of other things, by codes of others or in words
    alone, are not in doubt.
    """
    return [one for one in drafts if one.kind == "ServiceRequest" and _stands(one.element) and _doubtful(one, reader)]


def reasons_of(order: Element) -> list[Element]:
    """What an order or a procedure refers to as its reason: `reasonReference`, or `reason` in R5."""
    return [*order.each("reasonReference"), *order.each("reason")]


def written_as_r5(order: Element) -> bool:
    """Whether an order is written as R5 does."""
    return bool(order.at("code").at("concept")) or bool(order.at("reason"))


def _freezes(order: Element, reader: Reader) -> bool:
    return _stands(order) and FREEZE in reader.understood(order.at("code")).codes("procedure")


def _stands(order: Element) -> bool:
    return order.text("status") not in WITHDRAWN and order.at("doNotPerform").value is not True


def _doubtful(order: Resource, reader: Reader) -> bool:
    code = order.element.at("code")
    understood = reader.understood(code)
    return understood.unreadable or (understood.unknown_of_ours and not understood.meanings)
