"""What is not known about a freeze, as ranges, and draws from them.

A draw is one possible freeze: one tissue, one contact, one cryogen temperature. Ranges
are low, most likely, high (triangular), or a median with a factor that is one standard
deviation of its logarithm. The contact film is the widest of them: the cone's was fitted
to the time in which a pool boils off and to one usual thaw time, the foam's to two papers
of measurements outside the living animal (Gaspar and Dawber 1997,
10.1111/j.1440-0960.1997.tb01109.x; 10.1080/09546634.2017.1327700). Site temperatures are
working values without a source; so is the perfusion of mucosa and lid.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

__all__ = ["CONTACTS", "DIMENSIONS", "PRIORS", "SITES", "Contact", "Draw", "Site", "draw", "nominal"]

DIMENSIONS = 15


@dataclass(frozen=True, slots=True)
class Site:
    """A class of body site: surface temperature, perfusion, and whether fat lies under."""

    surface_c: float
    perfusion_1_s: float
    fat_below: bool


@dataclass(frozen=True, slots=True)
class Contact:
    """How an applicator touches: film in W/m2K, and cryogen temperature in C."""

    film_w_m2k: float
    film_factor: float
    coldest_c: float
    likeliest_c: float
    warmest_c: float
    strong_w_m2k: float


SITES = {
    "trunk": Site(34.0, 1.0e-3, True),
    "distal": Site(28.0, 0.5e-3, False),
    "mucosa": Site(36.0, 4.0e-3, False),
}

CONTACTS = {
    "cone": Contact(1500.0, 1.7, -70.0, -57.0, -50.0, 3000.0),
    "foam_tip": Contact(400.0, 1.7, -70.0, -57.0, -42.0, 800.0),
}

PRIORS: dict[str, tuple[float, float, float]] = {
    "unfrozen_w_mk": (0.30, 0.40, 0.52),
    "frozen_w_mk": (0.90, 1.30, 1.80),
    "unfrozen_j_m3k": (3.3e6, 3.7e6, 3.95e6),
    "frozen_j_m3k": (1.75e6, 2.0e6, 2.25e6),
    "latent_j_m3": (150e6, 205e6, 250e6),
    "freezes_at_c": (-0.9, -0.6, -0.45),
    "air_w_m2k": (6.0, 10.0, 20.0),
}
PERFUSION_FACTOR = 2.0
SITE_SPREAD_C = 2.5
BLOOD_C = (36.5, 39.0)
KERATIN_M2K_W = (0.0, 2e-4)
SKIN_MM = (1.5, 4.5)


@dataclass(frozen=True, slots=True)
class Draw:
    """One possible freeze. Units are in the names; `stilled` is a share, 0 to 1."""

    unfrozen_w_mk: float
    frozen_w_mk: float
    unfrozen_j_m3k: float
    frozen_j_m3k: float
    latent_j_m3: float
    freezes_at_c: float
    perfusion_1_s: float
    surface_c: float
    blood_c: float
    cryogen_c: float
    film_w_m2k: float
    keratin_m2k_w: float
    skin_mm: float
    air_w_m2k: float
    stilled: float

    @property
    def contact_w_m2k(self) -> float:
        """Film coefficient of the contact, with keratin and hair in series, W/m2K."""
        return 1.0 / (1.0 / self.film_w_m2k + self.keratin_m2k_w)


def draw(point: Sequence[float], applicator: str, site_class: str) -> Draw:
    """Turn a point of the unit cube into a possible freeze.

    Args:
        point: DIMENSIONS numbers strictly between 0 and 1.
        applicator: A key of CONTACTS.
        site_class: A key of SITES.

    Returns:
        The draw. The same point gives the same tissue at every node of the table.

    >>> round(draw([0.5] * DIMENSIONS, "cone", "trunk").film_w_m2k)
    1500
    """
    site, contact = SITES[site_class], CONTACTS[applicator]
    return Draw(
        unfrozen_w_mk=_triangle(point[0], PRIORS["unfrozen_w_mk"]),
        frozen_w_mk=_triangle(point[1], PRIORS["frozen_w_mk"]),
        unfrozen_j_m3k=_triangle(point[2], PRIORS["unfrozen_j_m3k"]),
        frozen_j_m3k=_triangle(point[3], PRIORS["frozen_j_m3k"]),
        latent_j_m3=_triangle(point[4], PRIORS["latent_j_m3"]),
        freezes_at_c=_triangle(point[5], PRIORS["freezes_at_c"]),
        perfusion_1_s=_log_normal(point[6], site.perfusion_1_s, PERFUSION_FACTOR),
        surface_c=_even(point[7], site.surface_c - SITE_SPREAD_C, site.surface_c + SITE_SPREAD_C),
        blood_c=_even(point[8], *BLOOD_C),
        cryogen_c=_triangle(point[9], (contact.coldest_c, contact.likeliest_c, contact.warmest_c)),
        film_w_m2k=_log_normal(point[10], contact.film_w_m2k, contact.film_factor),
        keratin_m2k_w=_even(point[11], *KERATIN_M2K_W),
        skin_mm=_even(point[12], *SKIN_MM),
        air_w_m2k=_triangle(point[13], PRIORS["air_w_m2k"]),
        stilled=point[14],
    )


def nominal(applicator: str, site_class: str) -> Draw:
    """The most likely value of everything: to test with, never to show."""
    site, contact = SITES[site_class], CONTACTS[applicator]
    likeliest = {name: middle for name, (_, middle, _) in PRIORS.items()}
    return Draw(
        **likeliest,
        perfusion_1_s=site.perfusion_1_s,
        surface_c=site.surface_c,
        blood_c=_even(0.5, *BLOOD_C),
        cryogen_c=contact.likeliest_c,
        film_w_m2k=contact.film_w_m2k,
        keratin_m2k_w=_even(0.5, *KERATIN_M2K_W),
        skin_mm=_even(0.5, *SKIN_MM),
        stilled=0.5,
    )


def _even(share: float, low: float, high: float) -> float:
    return low + share * (high - low)


def _triangle(share: float, limits: tuple[float, float, float]) -> float:
    low, middle, high = limits
    split = (middle - low) / (high - low)
    if share < split:
        return low + math.sqrt(share * (high - low) * (middle - low))
    return high - math.sqrt((1.0 - share) * (high - low) * (high - middle))


def _log_normal(share: float, median: float, factor: float) -> float:
    return median * math.exp(math.log(factor) * NormalDist().inv_cdf(share))
