"""For which cryogens the table speaks, and what was and was not checked."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["CRYOGENS", "CryogenValidity", "cryogen_validity"]


class CryogenValidity(NamedTuple):
    """Whether bands may be given for a cryogen, and why."""

    validated: bool
    statement: str


CRYOGENS = {
    "dimethyl_ether_propane": CryogenValidity(
        True,
        "Checked against two ex-vivo papers (pig trotter within 5 K at 1 mm; potato) and an "
        "energy balance of the boiling pool. Not checked: ice depth under a pool in a cone, "
        "for which no measurement was found, and any living animal.",
    ),
    "nitrous_oxide": CryogenValidity(
        False,
        "No band: its contact film was only fitted to one surface temperature after a spray of "
        "5 s on porcine skin; the thaw then came out 1.7 times too long.",
    ),
    "carbon_dioxide": CryogenValidity(False, "No band: nothing was computed or compared for carbon dioxide."),
    "liquid_nitrogen": CryogenValidity(
        False,
        "No band: a constant contact film cannot follow the end of film boiling; a measured "
        "-57 C at 40 s in a pig trotter was missed by 15 K or more.",
    ),
    "tetrafluoroethane": CryogenValidity(
        False,
        "No band: it boils at -26 C, above the -70 to -42 C that was computed, so it cannot "
        "bring tissue to -25 C; nothing was compared.",
    ),
}

UNKNOWN = CryogenValidity(False, "No band: this cryogen was neither computed nor compared.")


def cryogen_validity(cryogen_code: str) -> CryogenValidity:
    """Say whether the table holds for a cryogen.

    Args:
        cryogen_code: dimethyl_ether_propane (an aerosol mixture that boils at about
            -57 C), nitrous_oxide, carbon_dioxide, liquid_nitrogen, tetrafluoroethane, or
            anything else.

    Returns:
        Whether it was validated, and a statement to show.

    >>> cryogen_validity("carbon_dioxide").validated
    False
    """
    return CRYOGENS.get(cryogen_code, UNKNOWN)
