"""Maps of where a model can go, and its load by climate zone against the rule of thumb."""

from __future__ import annotations

from typing import Any

import numpy as np

from heatcalc.answers.reach.outline import FRAMES, outline
from heatcalc.answers.reach.reach_study import PackageReach, Reach, RULE_W_m2
from heatcalc.judge.rules import FITS, JUST, LARGE, STOPS, TOO_SMALL, WITH_HEATER
from heatcalc.report.drawing import COLOURS, INK, blank, measured, ruled, short
from heatcalc.units import shown

LOOK = {
    FITS: (COLOURS[0], "o"),
    JUST: (COLOURS[2], "v"),
    WITH_HEATER: (COLOURS[4], "^"),
    LARGE: (COLOURS[6], "D"),
    STOPS: (COLOURS[3], "s"),
    TOO_SMALL: ("#111111", "x"),
}
SIZES = {6: "#ffffb2", 9: "#fecc5c", 12: "#fd8d3c", 15: "#f03b20", 18: "#bd0026", 24: "#54001a"}  # light to dark: one hue path
KEYS_A_ROW = 4
MARK = {6: "o", 9: "s", 12: "^", 15: "D", 18: "v", 24: "P"}


def map_figure(r: Reach, unit: str, _: str) -> Any:
    """One panel a package, each place marked by the verdict of one unit, and by the supply that its plan takes."""
    kept = {p.name: p.unit(unit).kept for p in r.packages}

    def draw(axes: Any, p: PackageReach, size: float) -> None:
        u = p.unit(unit)
        for word, look in LOOK.items():
            _marks(axes, r, u.verdict == word, kept[p.name], look, size)

    handles = [_handle(c, m, f"{w}{_heater(r, unit, w)}") for w, (c, m) in LOOK.items()]
    titles = [
        f"{short(p.name, 48)}\n{(p.unit(unit).verdict == FITS).mean():.0%} fits, "
        f"{(p.unit(unit).verdict == WITH_HEATER).mean():.0%} with a second heater"
        for p in r.packages
    ]
    words = f"{unit} at the {r.packages[0].house.design.percentile} design cold; {_cord(r)}"
    return _panels(r, titles, draw, handles, words)


def _marks(axes: Any, r: Reach, here: Any, kept: Any, look: tuple[str, str], size: float) -> None:
    """Places of one colour; those that take a larger supply than the house has in a dark rim."""
    colour, marker = look
    for which, edge, wide in ((here & kept, "#9a9a9a", 0.25), (here & ~kept, INK, 0.8)):
        at = r.sites.lon[which], r.sites.lat[which]
        thin = min(1.0, size / 5.0)
        rim = {"linewidths": 0.9 * thin} if marker == "x" else {"edgecolors": edge, "linewidths": wide * thin}
        axes.scatter(*at, s=size, c=colour, marker=marker, **rim)


def _cord(r: Reach) -> str:
    cords = " or ".join(dict.fromkeys(p.house.supply.cord for p in r.packages))
    return f"dark rim: on a larger supply than the house's {cords}"


def _heater(r: Reach, unit: str, verdict: str) -> str:
    """The second heaters of a verdict, least to most; none for a unit that no heater makes do."""
    if verdict == TOO_SMALL:
        return ""
    asked = np.concatenate([u.backup_W[(u.verdict == verdict) & (u.backup_W > 0)] for u in (p.unit(unit) for p in r.packages)])
    return f", {asked.min() / 1000:.1f} to {asked.max() / 1000:.1f} kW" if len(asked) else ""


def units_figure(r: Reach, _: str) -> Any:
    """One panel a package, each place marked by the size of the recommended unit."""
    sizes = np.array([u.unit.size_kBtuh for u in r.packages[0].units])
    kinds = sorted({float(s) for s in sizes})
    look = {s: (list(SIZES.values())[min(k, 5)], list(MARK.values())[min(k, 5)]) for k, s in enumerate(kinds)}

    def draw(axes: Any, p: PackageReach, size: float) -> None:
        chosen = np.where(p.best >= 0, sizes[np.maximum(p.best, 0)], -1.0)
        for kind, seen in look.items():
            _marks(axes, r, chosen == kind, p.kept, seen, size)
        none = chosen < 0
        axes.scatter(r.sites.lon[none], r.sites.lat[none], s=size, c="#111111", marker="x", linewidths=0.9)

    used = {float(sizes[k]) for p in r.packages for k in p.best if k >= 0}
    handles = [_handle(c, m, f"{s:g} kBtu/h") for s, (c, m) in look.items() if s in used]
    handles.append(_handle("#111111", "x", "none carries it"))
    return _panels(r, [short(p.name, 48) for p in r.packages], draw, handles, f"size of the recommended unit; {_cord(r)}")


def _handle(colour: str, marker: str, words: str) -> Any:
    from matplotlib.lines import Line2D

    edge = colour if marker == "x" else "#333333"
    return Line2D([], [], ls="", marker=marker, color=colour, mec=edge, mew=1.2 if marker == "x" else 0.4, ms=7, label=words)


def _panels(r: Reach, titles: list[str], draw: Any, handles: list[Any], words: str) -> Any:
    from matplotlib.figure import Figure

    count = len(r.packages)
    across = 1 if count == 1 else 2
    down = -(-count // across)
    columns = min(len(handles), KEYS_A_ROW if across > 1 else KEYS_A_ROW - 2)
    head = 0.4 + 0.22 * -(-len(handles) // columns)
    figure = Figure(figsize=(5.6 * across + (2.4 if across == 1 else 0), (4.9 if across == 1 else 3.55) * down + head))
    left, right, bottom, top = 0.01, 0.99, 0.02, 1 - head / figure.get_figheight()
    size = 13.0 if len(r.sites) < 1500 else 5.0 if len(r.sites) < 5000 else 1.0
    for k, p in enumerate(r.packages):
        x, y = left + (right - left) / across * (k % across), top - (top - bottom) / down * (k // across + 1)
        _country(figure, (x, y, (right - left) / across, (top - bottom) / down), titles[k], lambda axes, p=p: draw(axes, p, size))
    figure.legend(handles=handles, loc="upper center", ncols=columns, fontsize=9, title=words, title_fontsize=10)
    return figure


def _country(figure: Any, box: tuple[float, float, float, float], title: str, draw: Any) -> None:
    x, y, w, h = box
    frames = {
        "lower 48": (x + 0.05 * w, y + 0.03 * h, 0.95 * w, 0.84 * h),
        "Alaska": (x, y, 0.25 * w, 0.27 * h),
        "Hawaii": (x + 0.26 * w, y, 0.14 * w, 0.15 * h),
    }
    for name, at in frames.items():
        axes = figure.add_axes(at)
        west, east, south, north = FRAMES[name]
        _ground(axes, FRAMES[name])
        draw(axes)
        axes.set(xlim=(west, east), ylim=(south, north), xticks=[], yticks=[], facecolor="white")
        axes.set_aspect(1 / np.cos(np.radians((south + north) / 2)), adjustable="box")
        axes.spines[:].set_visible(name != "lower 48")
        axes.spines[:].set(color="#bbbbbb", linewidth=0.6)
        if name == "lower 48":
            axes.set_title(title, loc="left", fontsize=10)


def _ground(axes: Any, frame: tuple[float, float, float, float]) -> None:
    """Land of a frame (and a degree around) in a light grey with its coast, state lines lighter still.

    The lines are one shape: each alone would be an element of the page.
    """
    from matplotlib.patches import PathPatch
    from matplotlib.path import Path

    o, (west, east, south, north) = outline(), frame
    across, up = (o.lon > west - 1) & (o.lon < east + 1), (o.lat > south - 1) & (o.lat < north + 1)
    land = o.lon[across], o.lat[up], o.land[up][:, across].astype(float)
    axes.contourf(*land, levels=[0.5, 1.5], colors=["#f1f1ee"], zorder=0)
    axes.contour(*land, levels=[0.5], colors=["#a8a8a8"], linewidths=0.5, zorder=1)
    lines = Path(o.lines.reshape(-1, 2), [Path.MOVETO, Path.LINETO] * len(o.lines))
    axes.add_patch(PathPatch(lines, fill=False, edgecolor="#c4c4c4", linewidth=0.5, zorder=1))


def zones_figure(r: Reach, system: str) -> Any:
    """Every place's load per floor area by zone, warm to cold, packages side by side, and the rule's band."""
    (figure, axes), zones = blank(9.6, 4.8), sorted(set(r.sites.zone))
    at, width = np.array([zones.index(z) for z in r.sites.zone]), 0.8 / len(r.packages)
    low, high = (float(shown(w, "heat flow density", system)) for w in RULE_W_m2)
    words = f"rule of thumb, {low:.0f} to {high:.0f} (common practice, no source)"
    axes.axhspan(low, high, color="#e9e4c9", zorder=0, label=words)
    for k, p in enumerate(r.packages):
        load = np.asarray(shown(p.per_floor_W_m2, "heat flow density", system))
        middle = np.arange(len(zones)) + width * (k - (len(r.packages) - 1) / 2)
        ends = np.array([np.percentile(load[at == z], (0, 25, 50, 75, 100)) for z in range(len(zones))])
        axes.vlines(middle, ends[:, 0], ends[:, 4], color=COLOURS[k], lw=1.0)
        axes.vlines(middle, ends[:, 1], ends[:, 3], color=COLOURS[k], lw=max(4.0, 26 * width), alpha=0.55)
        axes.plot(middle, ends[:, 2], "_", color=INK, ms=max(5.0, 34 * width), mew=1.8)
        axes.plot([], [], color=COLOURS[k], lw=6, alpha=0.6, label=p.name)
    axes.set_xticks(range(len(zones)), [f"{z}\n{(at == k).sum()}" for k, z in enumerate(zones)], fontsize=8.5)
    axes.set_xlabel("climate zone (IECC 2021) and number of places; bar: middle half, line: all places")
    axes.set(ylabel=measured("heating load per floor", "heat flow density", system), ylim=(0, None))
    ruled(axes)
    axes.legend(loc="upper left", fontsize=8.5)
    return figure
