"""What `heatcalc unit` says of several units and a house: each judged as by `size`, in one table and one figure a place;
capacity and COP over outdoor temperature: dots printed, lines between, dashes and bands estimated.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import partial

import numpy as np

from heatcalc import units
from heatcalc.answers.unit.unit_answer import UnitAnswer, UnitsAtPlace, curve_table
from heatcalc.inputs.unit.unit_file import Unit
from heatcalc.judge.choice import MILD_C
from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.physics.unit.heat_pump import REACH_K, Curves, PrintedRoom
from heatcalc.report.about_size import COSTS, PLAN, decision_words
from heatcalc.report.drawing import blank, measured
from heatcalc.report.report import Bullet, Caution, Figure, Note, Report, Sentence, bullets, chapter, chapters, stamped
from heatcalc.report.size_values import MOST_DRAWN, candidate_record, place_record, units_figure
from heatcalc.report.table import Column, Filling, Table, columns_of, table_of
from heatcalc.wording import USD, Q, Said, mark, said, worded

T, POWER = "temperature", "power"


def about_units(found: Sequence[UnitsAtPlace]) -> Report:
    """Units side by side, best first, in each place; every row is the sizing with that unit."""
    house, units = found[0].sized[0].house, [r.recommended.unit for r in found[0].sized]
    several = len(found) > 1
    return Report(
        question="unit",
        title=f"{len(units)} units for {house.name}, in {'; '.join(at.place.name for at in found)}",
        decision=tuple(_first(at, several) for at in found),
        chapters=chapters(
            chapter("Side by side", _side_by_side(found)),
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


def _side_by_side(found: Sequence[UnitsAtPlace]) -> Table:
    """A row a unit and place, each currency its own column."""
    plans = [r for at in found for r in at.sized]
    *plan, heater = columns_of("plan", *PLAN)
    currencies = sorted({r.plan.currency or USD for r in plans})
    columns: tuple[Filling, ...] = (
        (Column("place"), lambda r: r.place.name.split(" (")[0]),
        *plan,
        (Column("most, in the cold", POWER, missing="off"), lambda r: r.recommended.max_heat_at_design_W or None),
        (Column(worded("least at {}", Q(MILD_C, T)), POWER), "recommended.min_heat_W"),
        heater,
        (Column("supply"), lambda r: f"{r.plan.supply or 'none listed'}{', the house has it' if r.plan.supply_carried else ''}"),
        *columns_of("plan", *COSTS),
        *columns_of("plan", *map(_paid_in, currencies)),
        (Column("takes"), _takes),
    )
    several = len(found) > 1
    return table_of("side-by-side", plans, *columns[0 if several else 1 :], chosen=None if several else 0)


def _paid_in(currency: str) -> Filling:
    """The year's cost of plans that pay in it; none is converted."""
    column = Column("a year", unit=mark(currency), decimals=0, missing="")
    return column, lambda p: p.yearly_cost if p.currency == currency else None


def _takes(r: SizeResult) -> str:
    dryer = [f"dehumidifier {r.plan.dehumidifier_W:.0f} W"] if r.plan.dehumidifier_W else []
    return "; ".join((*r.plan.changes, *dryer))


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


GENERIC = "generic, replace with your unit's table"

COLORS = {"min": "#2a7f8e", "rated": "#5c5c5c", "max": "#b4532a"}
DOTS = {"min": "v", "rated": "o", "max": "^"}  # beside colours, for grey prints
LEAST_POINTS = 400
WARMEST_HEATING_C = 19.0
DESIGN = "#7a5ba6"
DASHES = ("-", "--", "-.", ":")  # one for each place, then again


def room_words(mode: str, room: Curves | PrintedRoom) -> Said:
    """The room a table is for: its dry bulb, in cooling its wet bulb too."""
    dry, wet = Q(room.indoor_C, "temperature", 0), Q(room.indoor_wet_bulb_C, "temperature", 0)
    return worded("a room of {} / {} wet bulb", dry, wet) if mode == "cooling" else worded("a room of {}", dry)


def unit_figure(answer: UnitAnswer, system: str = "ip"):
    """Four axes: capacity above COP, heating left, cooling right."""
    figure, axes = blank(10.5, 6.4, 2, 2, sharex="col", height_ratios=(3, 2))
    u = answer.unit
    for column, curves in enumerate((u.heating, u.cooling)):
        _draw(axes[:, column], curves, system)
        axes[0, column].set_title(f"{curves.mode}, {said(room_words(curves.mode, curves), system)}", fontsize=11)
        axes[1, column].set_xlabel(measured("outdoor temperature", "temperature", system))
    axes[0, 0].set_ylabel(f"capacity [{'kBtu/h' if system == 'ip' else 'kW'}]")
    axes[1, 0].set_ylabel("COP")
    _place_lines(axes, answer, system)
    _legend(figure, answer)
    label = f"   [{GENERIC}]" if u.generic else ""
    figure.suptitle(f"{u.name}, {u.size_kBtuh:g} kBtu/h, {u.unit_class}{label}", fontsize=12)
    return figure


def _draw(axes, curves: Curves, system: str) -> None:
    nodes = curves.outdoor_C
    low, high = max(nodes[0] - REACH_K, curves.lowest_C), nodes[-1] + REACH_K
    if curves.mode == "heating":
        high = max(nodes[-1], min(high, WARMEST_HEATING_C))
    grid = np.unique(np.concatenate([np.linspace(low, high, LEAST_POINTS), nodes]))
    table = curve_table(curves, grid)
    x = units.shown(grid, "temperature", system)
    for line in table.lines:
        color = COLORS[line.level]
        dashed = (line.capacity.mark == "estimated") | (line.capacity.mark == "off")
        _line(axes[0], x, _thousands(line.capacity.value_W, system), dashed, color)
        _line(axes[1], x, line.cop, dashed | (line.power.mark == "estimated"), color)
        lower, upper = (_thousands(v, system) for v in (line.capacity.low_W, line.capacity.high_W))
        axes[0].fill_between(x, lower, upper, where=dashed, color=color, alpha=0.18, lw=0)
        _dots(axes, curves, line.level, system, color)
    if curves.mode == "heating":
        for ax in axes:
            ax.axvline(units.shown(curves.lowest_C, "temperature", system), color="#888888", lw=0.9, ls=":")
    for ax in axes:
        ax.grid(color="#e6e6e6", lw=0.6)
        ax.set_ylim(bottom=0)
        ax.spines[["top", "right"]].set_visible(False)


def _thousands(watts, system: str):
    return np.asarray(units.shown(watts, "power", system)) / 1000.0


def _line(ax, x, y, dashed, color: str) -> None:
    """Solid where known, dashed where estimated; both share their meeting point."""
    edge = dashed & ~(np.roll(dashed, 1) & np.roll(dashed, -1))
    ax.plot(x, np.where(~dashed | edge, y, np.nan), color=color, lw=1.7)
    ax.plot(x, np.where(dashed, y, np.nan), color=color, lw=1.4, ls=(0, (4, 2)))


def _dots(axes, curves: Curves, level: str, system: str, color: str) -> None:
    given = curves.given[level]
    x = units.shown(curves.outdoor_C, "temperature", system)
    axes[0].plot(x[given], _thousands(curves.capacity_W[level][given], system), DOTS[level], color=color, ms=5)
    both = given & curves.power_given[level]
    cop = curves.capacity_W[level] / curves.power_W[level]
    axes[1].plot(x[both], cop[both], DOTS[level], color=color, ms=5)


def _place_lines(axes, answer: UnitAnswer, system: str) -> None:
    for k, place in enumerate(answer.places):
        for column, celsius in enumerate((place.heating_design_C, place.cooling_design_C)):
            for ax in axes[:, column]:
                ax.axvline(units.shown(celsius, "temperature", system), color=DESIGN, lw=1.2, ls=DASHES[k % len(DASHES)])


def _legend(figure, answer: UnitAnswer) -> None:
    from matplotlib.lines import Line2D

    unit = answer.unit
    levels = [x for x in ("max", "rated", "min") if x in unit.heating.levels or x in unit.cooling.levels]
    handles = [
        Line2D([], [], color=COLORS[x], marker=DOTS[x], ms=5, label={"min": "minimum", "max": "maximum"}.get(x, x))
        for x in levels
    ]
    handles += [
        Line2D([], [], color="k", marker="o", ls="", label="a mark: printed"),
        Line2D([], [], color="k", label="between"),
        Line2D([], [], color="k", ls=(0, (4, 2)), label="estimated, with band"),
        Line2D([], [], color="#888888", ls=":", label="lowest operating temperature"),
    ]
    handles += [
        Line2D([], [], color=DESIGN, ls=DASHES[k % len(DASHES)], label=f"design, {p.place}") for k, p in enumerate(answer.places)
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=4, fontsize=8.5, frameon=False)
