"""What `heatcalc unit` says of several units and a house: each judged as by `size`, in one table and one figure a place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

from heatcalc.answers.unit.unit_answer import UnitsAtPlace
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import MILD_C
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.report.about_size import decision_words
from heatcalc.report.report import (
    Bullet,
    Caution,
    Cell,
    Column,
    Figure,
    Note,
    Report,
    Sentence,
    Table,
    bullets,
    chapter,
    chapters,
    stamped,
)
from heatcalc.report.size_figures import MOST_DRAWN, units_figure
from heatcalc.report.size_values import candidate_record, place_record
from heatcalc.report.unit_figures import GENERIC
from heatcalc.wording import USD, Q, Said, mark, worded

T, POWER, WATTS = "temperature", "power", "electric power"
HEADS = (
    Column("place"),
    Column("unit"),
    Column("verdict"),
    Column("sure", "chance"),
    Column("holds down to", T, missing="nothing"),
    Column("most, in the cold", POWER, missing="off"),
    Column(worded("least at {}", Q(MILD_C, T)), POWER),
    Column("second heater", WATTS, missing="none"),
    Column("supply"),
    Column("first cost", unit="$", decimals=0),
    Column("a year", unit="kWh", decimals=0, missing=""),
    Column("takes"),
)


def about_units(found: Sequence[UnitsAtPlace]) -> Report:
    """Units side by side, best first, in each place; every row is the sizing with that unit."""
    house, units = found[0].sized[0].house, [r.recommended.unit for r in found[0].sized]
    several = len(found) > 1
    currencies = sorted({r.plan.currency or USD for at in found for r in at.sized})
    money = (Column("a year", unit=mark(one), decimals=0, missing="") for one in currencies)
    columns = (*HEADS[0 if several else 1 : -1], *money, HEADS[-1])
    rows = [_row(r, currencies)[0 if several else 1 :] for at in found for r in at.sized]
    return Report(
        question="unit",
        title=f"{len(units)} units for {house.name}, in {'; '.join(at.place.name for at in found)}",
        decision=tuple(_first(at, several) for at in found),
        chapters=chapters(
            chapter("Side by side", Table("side-by-side", "", columns, tuple(rows), chosen=None if several else 0)),
            chapter("Why", *(Bullet(words) for at in found for words in _why(at, several)), more=True),
            chapter("Over the house's load", *(_figure(at) for at in found)),
            chapter("Understood", *bullets([w for u in units for w in _understood(u)])),
            chapter("Assumed", *bullets([w for u in units for w in _assumed(u)]), more=True),
            chapter("", Note("heatcalc unit NAME or FILE shows one of them in full"), *bullets(CAUTIONS, Caution)),
        ),
        stamp=stamped(None if several else found[0].place, house.name),
        values={
            "house": house.name,
            "places": [
                {
                    "place": place_record(at.place),
                    "units": [candidate_record(r.recommended) | {"plan": r.plan.record()} for r in at.sized],
                }
                for at in found
            ],
            "cautions": list(CAUTIONS),
        },
    )


def _first(at: UnitsAtPlace, several: bool) -> Sentence:
    best = at.sized[0]
    where = f"{at.place.name}: " if several else ""
    return Sentence(worded("{}{}", where, decision_words(best)), "holds" if best.plan.holds else "nothing holds")


def _row(r: SizeResult, currencies: Sequence[str]) -> tuple[Cell, ...]:
    p, c = r.plan, r.recommended
    return (
        r.place.name.split(" (")[0],
        p.unit,
        p.verdict,
        p.chance,
        p.held_C,
        c.max_heat_at_design_W or None,
        c.min_heat_W,
        p.heater_W or None,
        f"{p.supply or 'none listed'}{', the house has it' if p.supply_carried else ''}",
        p.first_cost_usd,
        p.yearly_kWh,
        *(p.yearly_cost if p.currency == one else None for one in currencies),
        "; ".join((*p.changes, *([f"dehumidifier {p.dehumidifier_W:.0f} W"] if p.dehumidifier_W else ()))),
    )


def _why(at: UnitsAtPlace, several: bool) -> Iterator[Said]:
    where = f", {at.place.name}" if several else ""
    return (worded("{}{}: {}", r.plan.unit, where, reason) for r in at.sized for reason in r.recommended.reasons)


def _figure(at: UnitsAtPlace) -> Figure:
    drawn = at.sized[:MOST_DRAWN]
    first, line = drawn[0], drawn[0].task
    says = worded(
        "heat over outdoor temperature: at the design cold of {} the house needs {}; {}",
        Q(line.design_C, T),
        Q(line.heating_W, POWER),
        ", ".join(f"{r.plan.unit} {r.plan.verdict}" for r in drawn),
    )
    title = f"Over the load in {at.place.name}" + (f", the first {MOST_DRAWN}" if len(at.sized) > MOST_DRAWN else "")
    key = "units-" + "".join(c if c.isalnum() else "-" for c in first.place.name.split(" (")[0])
    return Figure(key, title, says, partial(units_figure, drawn))


def _understood(u: Unit) -> Iterator[Said]:
    yield from ([f"{u.name}: {GENERIC}"] if u.generic else ())
    yield from (worded("{}: {}", u.name, words) for words in u.understood)


def _assumed(u: Unit) -> Iterator[Said]:
    return (worded("{}: {}", u.name, words) for words in u.assumed)
