"""A house that stands somewhere for part of the year: design values of those months."""

from __future__ import annotations

import re
from dataclasses import replace

from heatcalc.errors import InputError
from heatcalc.inputs.place.place_record import EVERY_MONTH, Place
from heatcalc.inputs.place.place_rows import coldest_hour, quantile
from heatcalc.wording import MONTHS

LIKE = 'write the season as "May-Oct" or "Nov-Mar" after a semicolon'


def season_said(query: str) -> tuple[str, tuple[int, ...]]:
    """The place's words and the months after a semicolon; all twelve where none are said."""
    where, mark, said = str(query).partition(";")
    if not mark:
        return query, EVERY_MONTH
    ends = [_month(query, word) for word in re.split(r"\s*(?:-|–|\bto\b)\s*", said.strip())]
    if len(ends) > 2:
        raise InputError("place", query, "has more than two months in its season", LIKE)
    first, last = ends[0], ends[-1]
    return where, tuple((first - 1 + i) % 12 + 1 for i in range((last - first) % 12 + 1))


def _month(query: str, word: str) -> int:
    known = [i for i, name in enumerate(MONTHS, start=1) if len(word) >= 3 and name.lower().startswith(word.lower().rstrip("."))]
    if not known:
        raise InputError("place", query, f"{word!r} is no month", LIKE)
    return known[0]


def season_text(months: tuple[int, ...]) -> str:
    """ "May to October"."""
    first, last = (MONTHS[m - 1] for m in (months[0], months[-1]))
    return first if len(months) == 1 else f"{first} to {last}"


def in_season(place: Place, months: tuple[int, ...]) -> Place:
    """The place as the house meets it in these months.

    A design value is the temperature passed in the same share of the hours the house stands there (1 % of May to October,
    not of the year; own choice): the percentile of the months' bins, with the difference between the year's design value and
    the year's percentile left as it is.  Without bins the year's values stay.
    """
    note = (
        f"design values, coldest hour and hours below a temperature are those of {season_text(months)}; degree-days and a year's "
        "energy are of the whole year"
    )
    if place.bins is None:
        note = f"no hours are known month by month here: design values are of the whole year, not of {season_text(months)}"
        return replace(place, months=months, warnings=(*place.warnings, note))
    own = [b for m, b in enumerate(place.bins, start=1) if m in months]
    moved = {
        name: getattr(place, name) + quantile(own, share) - quantile(place.bins, share)
        for name, share in (("heating_99_C", 0.01), ("heating_996_C", 0.004), ("cooling_1_C", 0.99), ("cooling_04_C", 0.996))
    }
    damp = {k: getattr(place, k) for k in ("cooling_1_mcwb_C", "dew_point_1_C", "dew_point_1_dry_bulb_C")}
    moved |= {k: value - _drier_K(place, months) for k, value in damp.items() if value is not None}
    moved["cooling_1_mcwb_C"] = min(moved["cooling_1_mcwb_C"], moved["cooling_1_C"])
    return replace(place, months=months, coldest_hour_C=coldest_hour(own), warnings=(*place.warnings, note), **moved)


def _drier_K(place: Place, months: tuple[int, ...]) -> float:
    """How far the most humid of these months stays below the year's, by its mean dew point [K]."""
    dew = place.monthly.dew_point_C
    return max(dew) - max(dew[m - 1] for m in months) if dew else 0.0
