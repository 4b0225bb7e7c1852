"""Is this hourly record what it says it is?  Every doubt is a named finding: what was seen, what probably happened, what to do.

A finding refuses the file unless the user accepts it by its name; where the cause is located it carries a correction, made
when the user asks for it by that name.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from heatcalc.errors import InputError, nearest
from heatcalc.inputs.place.find_place import find_place
from heatcalc.inputs.place.place_record import Place
from heatcalc.inputs.weather.weather_files import Hours
from heatcalc.inputs.weather.weather_looks import LOOKS, NAMES
from heatcalc.inputs.weather.weather_record import Finding, Record
from heatcalc.wording import Said, Words, joined, worded


def findings(hours: Hours, place: Place | None = None) -> tuple[Finding, ...]:
    """Every doubt about a record; `place` is what the climate tables hold of the place it should describe."""
    record = Record(hours, place)
    return tuple(f for look in LOOKS for f in look(record))


def sound(hours: Hours, place: Place | None, accept: Sequence[str] = (), mend: Sequence[str] = ()) -> Hours:
    """The record, corrected where asked for.  Raises InputError that names every finding left, or a name that finds nothing."""
    report: list[Said] = []
    place = _record_of(hours) if place is None else place
    for name in dict.fromkeys(mend):
        found = _named(name, findings(hours, place), "--mend", hours.file)
        if found.mended is None:
            raise InputError("--mend", name, "has no correction", f"{found.do}, or take the file as it is with --accept {name}")
        hours = found.mended(hours)
        report.append(worded("corrected as asked: {}; taken for {}", found.seen, found.likely))
    left = findings(hours, place)
    taken = [_named(name, left, "--accept", hours.file) for name in dict.fromkeys(accept)]
    report += [worded("accepted as it is: {}", found.words) for found in taken]
    if open_ := [f for f in left if f not in taken]:
        raise InputError("weather file", hours.file, _refusal(open_).said("both"))
    report += [] if place is not None else ["no record of this place to compare with: its months stand unchecked"]
    return replace(hours, report=(*hours.report, *report))


def _record_of(hours: Hours) -> Place | None:
    """What the climate tables hold of the record's own position; None outside them."""
    if hours.lat is None or hours.lon is None:
        return None
    try:
        return find_place(f"{hours.lat},{hours.lon}")
    except InputError:
        return None


def _refusal(found: Sequence[Finding]) -> Words:
    accept = " ".join(f"--accept {f.name}" for f in found)
    others = joined("; ", [worded("{} ({})", f.name, f.seen) for f in found[1:]])
    return worded("{}; or take it as it is: {}", found[0].words, accept) + (worded("; also {}", others) if others else "")


def _named(name: str, found: Sequence[Finding], option: str, file: str) -> Finding:
    if name not in NAMES:
        raise InputError(option, name, f"is no finding; known: {', '.join(NAMES)}", nearest(name, NAMES))
    here = next((f for f in found if f.name == name), None)
    if here is None:
        raise InputError(option, name, f"nothing of that name is found in {file}", "leave it out")
    return here
