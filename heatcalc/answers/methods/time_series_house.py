"""The radiant time series method on this house: hourly sums of a repeating day with tabled response series."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from heatcalc.answers.methods.hand_method import HandLoad, air_heat_capacity, by_component, loss_sheet, sheet_air_W
from heatcalc.inputs.house.living import living_day
from heatcalc.model.designer import DESIGN_WIND_COOLING_M_S, EIGHT_BEARINGS, CoolingLoad, Designer, design_day
from heatcalc.model.part import OpaquePart, SUMMER_FILM_W_m2K, WindowPart
from heatcalc.model.sunlight import Sky, past_screen
from heatcalc.physics.shell.dynamics import DAY_S, transfer_matrix
from heatcalc.physics.sun.sun_day import DesignDay, sol_air_C
from heatcalc.physics.zone import time_series as rts
from heatcalc.wording import Q, Said, worded

SOURCE = "radiant time series method, ASHRAE Handbook - Fundamentals (2021) ch. 18"
FLAT_DEG = 45.0  # a steeper plane counts as a wall
AT_ONCE = np.eye(24)[0]
HOURS = 24
ROOMS = {0.1: "light no carpet 10%", 0.5: "light no carpet 50%", 0.9: "light no carpet 90%"}


@dataclass(frozen=True)
class MethodOutside:
    """What the method takes for the outside: film [W/m2K], sky below air on flat planes [K], tabled or own conduction."""

    film: float = SUMMER_FILM_W_m2K
    sky_drop_K: float = 4.0  # of a horizontal surface, the chapter's practice
    own_layers: bool = False


HANDBOOK = MethodOutside()


def hand_time_series(designer: Designer, day: CoolingLoad | None = None, outside: MethodOutside = HANDBOOK) -> HandLoad:
    """The method on the same design day, sun and gains as the network; None = the network's worst day and way.

    Heating is the steady sum U A dt of the chapter's Part 6 with the network's air.
    """
    load = designer.cooling if day is None else day
    hot = design_day(designer, load.month)
    sky = Sky(designer.model, hot.position, hot.dni, hot.ghi, hot.dhi, EIGHT_BEARINGS[load.front_faces])
    outdoor, room = _hour_means(hot.dry_bulb_C), _room(designer)
    series = [
        *_opaque(designer, sky, outdoor, room, outside),
        *_windows(designer, sky, outdoor, room),
        *_inside(designer, hot, room),
    ]
    hourly = sum((s for _, s in series), np.zeros(24))
    peak = int(np.argmax(hourly))
    heating = [(r.component, r.loss_W) for r in loss_sheet(designer)] + [("outdoor air", sheet_air_W(designer))]
    return HandLoad(
        method="time series",
        heating_W=by_component(heating),
        cooling_W=by_component([(name, float(s[peak])) for name, s in series]),
        latent_W=float(load.latent_W[peak]),
        month=load.month,
        front_faces=load.front_faces,
        peak_hour=peak + 1,
        hourly_W=hourly,
        reasons=_reasons(designer),
        choices=_choices(room, outside),
        source=SOURCE,
    )


def _hour_means(readings: np.ndarray) -> np.ndarray:
    return 0.5 * (readings + np.roll(readings, 1))


def _room(designer: Designer) -> str:
    """The tabled room whose share of glass in the walls is nearest."""
    model = designer.model
    glass = sum(w.area_m2 for w in model.windows)
    share = glass / (glass + sum(p.area_m2 for p in model.opaque if p.kind == "wall"))
    return ROOMS[min(ROOMS, key=lambda s: abs(s - share))]


def _opaque(
    designer: Designer, sky: Sky, outdoor_C: np.ndarray, room: str, outside: MethodOutside
) -> list[tuple[str, np.ndarray]]:
    others, indoor = rts.radiant_series("nonsolar", room), designer.model.house.set_points.cooling
    made = [_part(designer, p, sky, outdoor_C, outside) for p in designer.model.opaque]
    return [
        (p.component, rts.cooling_load(rts.conduction_gain(made[k], indoor), made[k].radiant_share, others))
        for k, p in enumerate(designer.model.opaque)
    ]


def _part(designer: Designer, p: OpaquePart, sky: Sky, outdoor_C: np.ndarray, outside: MethodOutside) -> rts.SunlitPlane:
    meets = np.asarray(designer.below_C(outdoor_C, "summer")) if p.body.boundary == "below" else outdoor_C
    if p.body.sun:
        drop = outside.sky_drop_K if p.tilt_deg < FLAT_DEG else 0.0
        absorbed = p.body.solar_absorptance * p.taken_in / outside.film
        meets = sol_air_C(outdoor_C, sky.on(p.face, p.tilt_deg).total, absorbed, drop * p.taken_in)
    share = rts.radiant_share(p.of.radiant)
    return rts.SunlitPlane(
        name=p.name,
        area_m2=p.area_m2,
        u_value=p.u_value,
        sol_air_C=meets,
        conduction=own_series(p) if outside.own_layers else _tabled(p),
        radiant_share=share,
    )


def _tabled(p: OpaquePart) -> np.ndarray:
    """Series of its kind's table nearest in U; a kind without one answers at once."""
    table = p.of.series
    return rts.conduction_series(table, rts.nearest_conduction(table, p.u_value)) if table else AT_ONCE


def own_series(p: OpaquePart) -> np.ndarray:
    """The 24-hour conduction series of the part's own layers: Y12/U of ISO 13786 at each harmonic of the day, back to hours."""
    response = np.ones(HOURS // 2 + 1, complex)
    for k in range(1, len(response)):
        z = transfer_matrix(p.body.resistance, p.body.capacity, p.r_inside, p.r_outside, DAY_S / k)
        response[k] = -1.0 / z[0, 1] / p.u_value
    series = np.fft.irfft(response, HOURS)
    return series if abs(response[1]) > 0 else AT_ONCE


def _windows(designer: Designer, sky: Sky, outdoor_C: np.ndarray, room: str) -> list[tuple[str, np.ndarray]]:
    others, solar = rts.radiant_series("nonsolar", room), rts.radiant_series("solar", room)
    indoor, series = designer.model.house.set_points.cooling, []
    for w in designer.model.windows:
        made = _window(w, sky, outdoor_C)
        pane = rts.cooling_load(rts.pane_conduction(made, indoor), rts.window_radiant_share(w.shgc), others)
        series += [("windows", pane), ("sun through glass", rts.window_load(made, indoor, others, solar) - pane)]
    return series


def _window(w: WindowPart, sky: Sky, outdoor_C: np.ndarray) -> rts.SunlitGlass:
    (sunlit, share), (let_in, more) = sky.reach(w), sky.drawn(w)
    light = sky.on(w.face, w.tilt_deg).dimmed(past_screen(w))
    return rts.SunlitGlass(
        name=w.name,
        area_m2=w.area_m2,
        u_value=w.u_value,
        glazing=w.glazing,
        light=light,
        outdoor_C=outdoor_C,
        sunlit=sunlit * more,
        sky_share=share,
        inside_shade=let_in,
    )


def _inside(designer: Designer, day: DesignDay, room: str) -> list[tuple[str, np.ndarray]]:
    """Gains with their own radiant share by the hour, and the network's outdoor air."""
    others, indoor = rts.radiant_series("nonsolar", room), designer.model.house.set_points.cooling
    living, outdoor = living_day(designer.model.house.living), _hour_means(day.dry_bulb_C)
    gains = living.sensible_convective_W + rts.follow(others, living.sensible_radiant_W)
    flow = np.asarray(designer.model.air.sensible(indoor - outdoor, DESIGN_WIND_COOLING_M_S))
    air = air_heat_capacity(designer, indoor) * flow * (outdoor - indoor)
    return [("people and appliances", gains), ("outdoor air", air)]


def _reasons(designer: Designer) -> tuple[Said, ...]:
    model = designer.model
    conductance = sum(model.ua_W_K.values()) / model.floor_area_m2
    return (
        worded(
            "the method takes every gain for load; this shell loses {} over its floor area, and part of "
            "the sun that warms a light room flows out again through it",
            Q(conductance, "U-value"),
        ),
    )


def _choices(room: str, outside: MethodOutside) -> tuple[Said, ...]:
    series = "each part's own layers" if outside.own_layers else "the tabled construction nearest in U; floors take a wall's"
    return (
        f'radiant series of the tabled room "{room}"',
        f"conduction series of {series}",
        worded(
            "outside film {}, sky {} below air on flat planes",
            Q(outside.film, "U-value"),
            Q(outside.sky_drop_K, "temperature difference"),
        ),
        "sun, gains, air and hours are the network's own",
    )
