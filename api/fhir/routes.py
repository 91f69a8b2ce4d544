"""The addresses of the code lists."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from api.code_lists import CodeLists
from api.code_systems import code_system
from api.door import Door
from api.operations.operation import JSON, page, parameter
from api.resource import Resource, resource_of, send
from api.service import page as page_at

__all__ = ["FHIR_JSON", "code_list_pages", "fhir_routes"]

FHIR_JSON = "application/fhir+json"
PATH = "/fhir/CodeSystem"

fhir_routes = APIRouter(route_class=Door)

READ_CODE_LIST = page(
    "readCodeList",
    "code lists",
    "Read a code list",
    answers={FHIR_JSON: "CodeSystem", JSON: "CodeSystem"},
    parameters=[parameter("name", "path", "The list.", "finding", pattern="^[a-z][a-z-]{0,63}$", maxLength=64)],
    refusals=(404,),
)


@fhir_routes.get(f"{PATH}/{{name}}", **READ_CODE_LIST)
async def read_code_list(request: Request) -> Response:
    """Give a code list as a FHIR CodeSystem (R4, R4B, R5), under CC0.

    The lists: species, lesion-kind, diagnosis, site, finding, finding-value, procedure, override-reason, card-topic,
    problem.
    """
    found = page_at(request)
    media_type = request.state.media_type
    return send(request, Resource(found.body, found.etag, media_type, found.keeping))


def code_list_pages(lists: CodeLists) -> Mapping[str, Resource]:
    """Every code list, by its path."""
    made = {name: code_system(one, lists.version) for name, one in lists.lists.items()}
    return {f"{PATH}/{name}": resource_of(one, FHIR_JSON) for name, one in made.items()}
