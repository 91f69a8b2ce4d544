"""Read ServiceRequests: which of the drafts are orders to freeze, and which lesions they name."""

from __future__ import annotations

from collections.abc import Sequence

from api.fhir.bundles import Resource
from api.fhir.elements import Element
from api.fhir.inputs import FREEZE
from api.fhir.record import Reader

__all__ = ["freeze_orders", "reasons_of", "written_as_r5"]

WITHDRAWN = ("entered-in-error", "revoked", "completed")


def freeze_orders(drafts: Sequence[Resource], reader: Reader) -> list[Resource]:
    """The orders to freeze among drafts."""
    return [one for one in drafts if one.kind == "ServiceRequest" and _freezes(one.element, reader)]


def reasons_of(order: Element) -> list[Element]:
    """What an order or a procedure refers to as its reason: `reasonReference`, or `reason` in R5."""
    return [*order.each("reasonReference"), *order.each("reason")]


def written_as_r5(order: Element) -> bool:
    """Whether an order is written as R5 does."""
    return bool(order.at("code").at("concept")) or bool(order.at("reason"))


def _freezes(order: Element, reader: Reader) -> bool:
    stands = order.text("status") not in WITHDRAWN and order.at("doNotPerform").value is not True
    return stands and FREEZE in reader.understood(order.at("code")).codes("procedure")
