"""In which species it was measured: what the sources of a rule measured in animals, and how that is said.

Whether a rule claims that is its author's word (`species_direct`); for which patient it is true follows from here.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

__all__ = ["animals_measured", "measured_for", "measured_in", "measured_of"]

NO_ANIMALS = frozenset({"human", "pig_tissue"})
_WITHOUT_S = frozenset({"cattle", "sheep"})


def animals_measured(source: Mapping[str, Any]) -> list[str]:
    """The species in which a source measured, by code.

    None where it measured in people or on dead tissue, and none for a text, a review or teaching: they say what others
    saw, without a measurement of their own. Level 5 is for those and for benches, and a bench may hold living animals.

    Args:
        source: The source, as sources.yaml has it.

    >>> animals_measured({"kind": "series", "level": "L4", "species": ["dog", "cat"]})
    ['dog', 'cat']
    >>> animals_measured({"kind": "textbook", "level": "L5", "species": ["horse"]})
    []
    >>> animals_measured({"kind": "bench", "level": "L5", "species": ["pig_tissue"]})
    []
    """
    if source["level"] == "L5" and source["kind"] != "bench":
        return []
    return [one for one in source["species"] if one not in NO_ANIMALS]


def measured_in(citations: Iterable[str], sources: Mapping[str, Mapping[str, Any]]) -> tuple[str, ...]:
    """The species in which any of the sources cited measured, in the order of the citations, each once."""
    found = (one for key in citations if key in sources for one in animals_measured(sources[key]))
    return tuple(dict.fromkeys(found))


def measured_for(evidence: Mapping[str, Any]) -> str:
    """In which species and with what it was measured, of the evidence in an answer.

    An answer of an older service does not name the species: then no more is said than it tells.

    >>> one = {"species_direct": False, "measured_in": ["dog", "cat"], "cryogen_direct": False}
    >>> measured_for(one)
    'measured in dogs and cats, not in this species; not with this kind of cryogen'
    >>> measured_for({**one, "species_direct": True})
    'measured in this species, not with this kind of cryogen'
    >>> measured_for({**one, "measured_in": []})
    'not measured in any species, nor with this kind of cryogen'
    >>> measured_for({**one, "measured_in": [], "cryogen_direct": True})
    'measured with this kind of cryogen, not in any species'
    >>> measured_for({"species_direct": False, "cryogen_direct": False})
    'not measured in this species, nor with this kind of cryogen'
    """
    cryogen = evidence["cryogen_direct"]
    if "measured_in" not in evidence:
        return "species of the measurement not named" if evidence["species_direct"] else _nowhere("this", cryogen)
    if evidence["species_direct"]:
        return f"measured in this species, {_cryogen(cryogen)}"
    if not evidence["measured_in"]:
        return _nowhere("any", cryogen)
    return f"measured in {_listed(evidence['measured_in'])}, not in this species; {_cryogen(cryogen)}"


def measured_of(evidence: Mapping[str, Any]) -> str:
    """In which species and with what it was measured, of the evidence of a rule, without a patient.

    >>> measured_of({"measured_in": ["dog", "cat", "guinea_pig"], "cryogen_direct": False})
    'measured in dogs, cats and guinea pigs, not with this kind of cryogen'
    >>> measured_of({"measured_in": ["cattle"], "cryogen_direct": True})
    'measured in cattle, with this kind of cryogen'
    >>> measured_of({"measured_in": [], "cryogen_direct": False})
    'not measured in any species, nor with this kind of cryogen'
    """
    if not evidence["measured_in"]:
        return _nowhere("any", evidence["cryogen_direct"])
    return f"measured in {_listed(evidence['measured_in'])}, {_cryogen(evidence['cryogen_direct'])}"


def _nowhere(which: str, cryogen: bool) -> str:
    if cryogen:
        return f"measured with this kind of cryogen, not in {which} species"
    return f"not measured in {which} species, nor with this kind of cryogen"


def _cryogen(direct: bool) -> str:
    return f"{'' if direct else 'not '}with this kind of cryogen"


def _listed(species: Sequence[str]) -> str:
    named = [_several(one) for one in species]
    return " and ".join(filter(None, (", ".join(named[:-1]), named[-1])))


def _several(code: str) -> str:
    """Animals of a species, by its code."""
    return code if code in _WITHOUT_S else f"{code.replace('_', ' ')}s"
