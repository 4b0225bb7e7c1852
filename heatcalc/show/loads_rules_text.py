"""Tables and sentences of the peak by month and way, the published envelope rules and the warming up."""

from __future__ import annotations

from heatcalc import units
from heatcalc.answers.methods.design_loads import LoadsResult
from heatcalc.answers.methods.envelope_rules import Held
from heatcalc.wording import MONTHS

Row = tuple[str, ...]


def watts(w: float, system: str) -> str:
    """A load or heat flow as text."""
    return units.text(w, "power", system)


def peak_rows(r: LoadsResult, system: str) -> list[Row]:
    """Months down, ways across; the last column says what makes the month's worst peak."""
    ways = tuple(dict.fromkeys(cell.front_faces for cell in r.peaks))
    rows: list[Row] = [("", *ways, "hour", "made by")]
    for month in dict.fromkeys(cell.month for cell in r.peaks):
        cells = [cell for cell in r.peaks if cell.month == month]
        worst = max(cells, key=lambda cell: cell.peak_W)
        rows.append(
            (
                MONTHS[month - 1],
                *(f"{units.shown(c.peak_W, 'power', system):,.0f}" for c in cells),
                f"{worst.peak_hour}:00",
                f"{worst.largest} {watts(worst.largest_W, system)}",
            )
        )
    return rows


def screening_lines(r: LoadsResult, system: str) -> list[str]:
    """Uo against the zones, the temperature held, and what it is not."""
    s, t = r.screening, units.text
    limits = ", ".join(f"zone {zone} {t(most, 'U-value', system)}" for zone, most in s.limits)
    where = f"{r.size.place.state} is in zone {s.zone} ({s.zone_mark})" if s.zone else "this place is in none of its zones"
    verdict = "" if s.meets is None else f": {'not above' if s.meets else 'above'} its limit"
    overall = f"Uo {t(s.u_overall, 'U-value', system)} over {t(s.area_m2, 'area', system)}, transmission only"
    default = watts(s.default_infiltration_W, system)
    return [
        f"24 CFR 3280.506: {overall}; limits {limits}. {where}{verdict}.",
        f"Default infiltration at the design cold, 0.7 Btu/h per F and foot of perimeter (24 CFR 3280.509): {default}.",
        *(_held(h, system) for h in s.held),
        s.note,
    ]


def _held(h: Held, system: str) -> str:
    ours, rule = ("none" if x is None else units.text(x, "temperature", system) for x in (h.network_C, h.rule_C))
    room = units.text((70 - 32) / 1.8, "temperature", system, 0)
    end = " (the unit's own lowest)" if h.floor else ""
    return (
        f"Lowest outdoor temperature with {room} indoors, {h.source}: {ours}; "
        f"with the rule's Uo and default infiltration {rule}{end}."
    )


def code_table(r: LoadsResult, system: str) -> list[Row]:
    """Area-weighted U beside the prescriptive table."""
    t, s = units.text, r.screening
    return [
        (f"zone {s.code_zone}", "this house", "2021 IECC at most", "remark"),
        *(
            (
                c.part,
                t(c.u_value, "U-value", system),
                t(c.most, "U-value", system),
                f"{'within' if c.within else 'above'}; table {c.mark}",
            )
            for c in s.code
        ),
    ]


def pick_up_title(r: LoadsResult, system: str) -> str:
    """What is warmed, from where to where."""
    p, t = r.pick_up, units.text
    return (
        f"Warming up after a cold soak: from {t(p.start_C, 'temperature', system)} to "
        f"{t(p.goal_C, 'temperature', system)} inside with "
        f"{t(p.outdoor_C, 'temperature', system)} outside"
    )


def pick_up_rows(r: LoadsResult, system: str) -> list[Row]:
    """Hours by way of heating."""

    def hours(x: float | None) -> str:
        return "never" if x is None else f"{x:.1f} h"

    def felt(x: float | None) -> str:
        return "" if x is None else units.text(x, "temperature", system)

    return [
        ("with", "heat", "air warm", "room feels warm", "felt when the air is warm"),
        *((w.source, watts(w.heat_W, system), hours(w.air_h), hours(w.felt_h), felt(w.felt_after_air_C)) for w in r.pick_up.ways),
    ]
