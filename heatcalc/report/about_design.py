"""The design loads of a sizing, what was taken and the cautions, as every answer that sizes shows them."""

from __future__ import annotations

from functools import partial

from heatcalc.judge.sizing import CAUTIONS, SizeResult
from heatcalc.model.designer import CoolingLoad
from heatcalc.report.report import ONE_SIGMA, Bullet, Caution, Chapter, Figure, Note, bullets, chapter
from heatcalc.report.size_values import by_size, components_figure, day_figure, drawn_candidates, line_figure
from heatcalc.report.table import Column, Table
from heatcalc.wording import MONTHS, Q, Said, Words, joined, worded

T, POWER, UA = "temperature", "power", "heat loss coefficient"
DEFAULT = "not in the house file: default"


def conditions_chapter(r: SizeResult) -> Chapter | None:
    """Outdoor design conditions with their one-sigma."""
    c, p = r.designer.conditions, r.place
    heads = (Column("condition"), Column("dry bulb", T), Column("one sigma", "temperature difference"), Column("beside it"))
    wet = worded("wet bulb {}, daily range {}", Q(c.cooling_1_mcwb_C, T), Q(c.daily_range_K, "temperature difference"))
    rows = (
        ("heating 99 %", c.heating_99_C, p.sigma_heating_K, worded("99.6 %: {}", Q(c.heating_996_C, T))),
        ("cooling 1 %", c.cooling_1_C, p.sigma_cooling_K, wet),
    )
    return chapter(
        "Design conditions",
        Table("conditions", "", heads, rows),
        *bullets((ONE_SIGMA, worded("source: {}", c.source)), Note),
        more=True,
    )


def heating_words(r: SizeResult) -> Said:
    """The heating load in one line."""
    h, other = r.heating, r.heating_996
    (cold, load), (colder, more) = ((Q(x.outdoor_C, T), Q(x.load_W, POWER)) for x in (h, other))
    per_floor = Q(r.load_per_floor_W_m2, "heat flow density", 0)
    return worded("Heating load at {}: {} ({} of floor); at {} (99.6 %): {}", cold, load, per_floor, colder, more)


def heating_chapter(r: SizeResult) -> Chapter | None:
    """The heating load by part, with its hand check."""
    h = r.heating
    heads = (Column("part"), Column("heat loss", POWER), Column("share", "fraction"))
    rows = tuple((name, w, w / h.load_W if h.load_W else None) for name, w in by_size(h.components_W))
    check = worded("hand check, U x A x difference with the same air: {}; U x A = {}", Q(h.hand_check_W, POWER), Q(h.ua_W_K, UA))
    return chapter("Heating", heating_words(r), Table("heating", "", heads, rows), Note(check), more=True)


def line_chapter(r: SizeResult) -> Chapter | None:
    """The house's line and the units over it, and where its heat goes, as pictures."""
    drawn = Figure("load-and-capacity", "Heat needed and heat available", _line_says(r), partial(line_figure, r))
    parts = joined("; ", (Words(name, " ", Q(w, POWER)) for name, w in by_size(r.heating.components_W)))
    bars = Figure("heating-components", "Where the heat goes at the design cold", parts, partial(components_figure, r))
    return chapter("Heat needed and heat available", drawn, bars)


def _line_says(r: SizeResult) -> Said:
    needs = worded("The house needs {} at {}.", Q(r.heating.load_W, POWER), Q(r.task.design_C, T))
    most = ((c.name, c.max_heat_at_design_W) for c in drawn_candidates(r))
    gives = (worded("{} gives at most {} there.", name, Q(w, POWER)) if w else f"{name} stands still there." for name, w in most)
    return joined(" ", [needs, *gives])


def cooling_words(r: SizeResult) -> Said:
    """The cooling load in one line."""
    c = r.designer.cooling
    way = f", front to the {c.front_faces}" + (" (the worst of eight)" if r.house.site.front_faces == "unknown" else "")
    words = "Cooling load in {}, hour ending {}:00 standard time{}: {} sensible and {} latent at {} outdoors"
    return worded(words, MONTHS[c.month - 1], c.peak_hour, way, *_at_peak(c))


def _at_peak(c: CoolingLoad) -> tuple[Q, Q, Q]:
    """Sensible and latent load, and how warm it is outdoors then."""
    return Q(c.peak_sensible_W, POWER), Q(c.latent_at_peak_W, POWER), Q(c.outdoor_at_peak_C, T)


def damp_words(r: SizeResult) -> Said:
    """The 1 % dew-point condition beside it, which of the two totals is larger, and the water to take out."""
    damp, water = r.designer.damp, Q(r.task.dehumidification_kg_s, "water a day")
    if damp is None:
        return worded("No 1 % dew point is on record here; water to take out: {}", water)
    words = (
        "In the 1 % dew-point condition ({}): {} sensible and {} latent at {} outdoors; the larger total is that of the {}; "
        "water to take out: {}"
    )
    larger = r.designer.cooling_conditions[0].condition
    return worded(words, MONTHS[damp.month - 1], *_at_peak(damp), larger, water)


def cooling_chapter(r: SizeResult) -> Chapter | None:
    """The cooling load by cause, and the dew-point condition beside it."""
    c = r.designer.cooling
    peak = {name: float(series[c.peak_hour - 1]) for name, series in c.components_W.items()}
    rows = tuple((name, w) for name, w in by_size(peak) if abs(w) >= 0.5)
    table = Table("cooling", "", (Column("cause"), Column("sensible load", POWER)), rows)
    day = Figure("hot-day", "The hottest design day", _day_says(r), partial(day_figure, r))
    return chapter("Cooling", cooling_words(r), damp_words(r), table, day, more=True)


def _day_says(r: SizeResult) -> Said:
    losing = [name for name, watts in r.designer.cooling.components_W.items() if float(watts.min()) < -5.0]
    lost = (
        " Colours show gains only; where they stand above the sensible load, other parts lose heat to the cooler outdoors: "
        f"{', '.join(losing)}."
    )
    return worded("{}.{}", cooling_words(r), lost if losing else "")


def assumptions_chapter(r: SizeResult) -> Chapter | None:
    """What was taken, with the defaults counted first."""
    defaults = [a.name for a in r.assumptions if str(a.why).startswith(DEFAULT)]
    counted = f"{len(r.assumptions)} assumptions, {len(defaults)} of them defaults: {', '.join(defaults)}."
    lines = [Bullet(worded("{}: {} ({}; {})", a.name, a.value, a.why, a.source)) for a in r.assumptions]
    return chapter("Assumptions", counted, *lines, more=True)


def cautions_chapter() -> Chapter | None:
    """What stands under every answer that sizes; in the short text each in a few words."""
    brief = (
        "local codes, the unit's manual and licensed practice decide; an electrician for the supply; the manual's smallest room "
        "for the refrigerant; backup heat sealed or vented, with a carbon monoxide alarm; drain water lines in a power cut; "
        "generic units are no products."
    )
    return chapter("Cautions", *bullets(CAUTIONS, Caution), brief=brief)
