"""The names by which this service is known in CDS Hooks. Reverse-domain names are ours."""

from __future__ import annotations

__all__ = [
    "CHART",
    "DECISION",
    "HOOKS",
    "NOT_READ",
    "ORDER_SELECT",
    "ORDER_SIGN",
    "PATH",
    "PATIENT_VIEW",
    "REQUEST",
    "SERVICE",
]

PATH = "/cds-services"
SERVICE = "skin-lesion-freeze"

PATIENT_VIEW = "patient-view"
ORDER_SELECT = "order-select"
ORDER_SIGN = "order-sign"
CHART = "org.example.thawline.skin-lesion-chart"
HOOKS = (PATIENT_VIEW, ORDER_SELECT, ORDER_SIGN, CHART)

REQUEST = "org.example.thawline.request"  # extension of a request: what no FHIR resource holds
DECISION = "org.example.thawline.decision"  # extension of a card: what decided
NOT_READ = "not-read"  # the lesion of an order that could not be read: nothing is known of it
