"""Say a publication: its full citation, and what may be expected of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from decision.markdown import sentence

__all__ = ["citation", "source_in_words"]

_KIND = {"series": "case series", "bench": "bench study", "model": "calculation"}
_READ = {
    "full": "Read in full.",
    "abstract": "Only its abstract was read.",
    "opening": "Only its opening was read.",
    "secondary": "Not read itself; known from another text that quotes it.",
    "from_memory": "Not at hand when it was cited; cited from memory.",
}


def citation(source: Mapping[str, Any]) -> str:
    """The full citation of a source.

    >>> one = {"authors": "Smith A", "title": "Warts", "where": "Vet J 1:2", "year": 2020, "doi": "10.1/x"}
    >>> citation(one)
    'Smith A. Warts. Vet J 1:2, 2020. doi:10.1/x'
    """
    year = source["year"] or "no year at hand"
    doi = f" doi:{source['doi']}" if source["doi"] else ""
    return f"{sentence(source['authors'])} {sentence(source['title'])} {source['where']}, {year}.{doi}"


def source_in_words(source: Mapping[str, Any], species: Mapping[str, str], cryogens: Mapping[str, str]) -> list[str]:
    """What a source measured, in what, with what, and how much of it was read: one sentence each.

    Args:
        source: The source, as sources.yaml has it.
        species: Words for species by code; a code without words is spelled out.
        cryogens: Words for cryogens by code.
    """
    kind = _KIND.get(source["kind"], source["kind"])
    animals = _named(source["species"], species) or "none named"
    cold = _named(source["cryogens"], {"unspecified": "not named where we read it", **cryogens}) or "none"
    return [
        f"Evidence level {source['level'].removeprefix('L')} of 5 (1 is best): {kind}.",
        f"Species: {animals}. Cryogen: {cold}.",
        " ".join(source["measured"].split()),
        _READ[source["read"]],
    ]


def _named(codes: Sequence[str], words: Mapping[str, str]) -> str:
    return "; ".join(words.get(code, code.replace("_", " ")) for code in codes)
