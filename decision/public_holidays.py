"""Public holidays of a region: by a well-kept library, or as an earlier answer settled them.

The library may come to know other holidays. An answer that is given again takes the days it once looked at from its
own record, so that no later version of the library can change it.
"""

from __future__ import annotations

import datetime
import functools
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import holidays

__all__ = ["PublicHolidays"]


@dataclass(frozen=True, slots=True)
class PublicHolidays:
    """The public holidays that a case is answered with.

    Attributes:
        region: Country, or country and subdivision (ISO 3166); None where none is stated.
        settled: Days of an earlier answer, each with its holiday, or None for a day that was none.

    >>> PublicHolidays("GB-SCT").on(datetime.date(2026, 12, 25))
    'Christmas Day'
    >>> PublicHolidays("GB-LND").known_of, PublicHolidays("ZZ").known_of
    ('GB', None)
    >>> settled = {datetime.date(2026, 12, 25): None}
    >>> PublicHolidays("GB-SCT", settled).on(datetime.date(2026, 12, 25)) is None
    True
    """

    region: str | None
    settled: Mapping[datetime.date, str | None] = field(default_factory=dict)

    def on(self, day: datetime.date) -> str | None:
        """The name of the holiday on a day; None when it is none."""
        if day in self.settled:
            return self.settled[day]
        return _by_library(self.known_of, day.year).get(day)

    @property
    def known_of(self) -> str | None:
        """Whose holidays these are: the region's, its country's where it has none of its own, or nobody's: None."""
        return _known_of(self.region)


@functools.lru_cache(maxsize=256)
def _known_of(region: str | None) -> str | None:
    country, _, part = (region or "").partition("-")
    known = holidays.list_supported_countries()
    if country not in known:
        return None
    return region if part in known[country] else country


@functools.lru_cache(maxsize=256)
def _by_library(region: str | None, year: int) -> Mapping[datetime.date, str]:
    if region is None:
        return {}
    country, _, part = region.partition("-")
    found: Iterable[tuple[datetime.date, str]] = holidays.country_holidays(
        country, subdiv=part or None, years=year, language="en_US"
    ).items()
    return dict(found)
