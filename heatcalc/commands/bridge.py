"""Examples:
heatcalc bridge                        # the ready details
heatcalc bridge wheel-well -o out/     # one of them, with its figure
heatcalc bridge my-detail.toml --json  # your own drawing
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("detail", nargs="?", help="a detail file (.toml) or a ready detail; none lists the ready ones")
    parser.add_argument("--json", action="store_true", help="machine-readable result")
    parser.add_argument("--units", choices=("ip", "si"), default="ip", help="units of text and figure")
    parser.add_argument("--limit", default="0.2 %", help="refine until the heat flow changes by less (default 0.2 %%)")
    parser.add_argument("-o", dest="folder", metavar="DIR", help="folder for the figure, SVG and PNG")


def run(arguments: Namespace) -> int:
    from heatcalc.inputs.assembly.detail import load_detail
    from heatcalc.model.bridge import solve_detail
    from heatcalc.model.ready_detail import ready_table
    from heatcalc.show.bridge_text import as_json, list_text, report_text

    share = _share(arguments.limit)
    if arguments.detail is None:
        print(list_text(ready_table(), arguments.units, arguments.json))
        return 0
    bridge = solve_detail(load_detail(arguments.detail), share)
    written = _figures(bridge, arguments) if arguments.folder else ()
    print(as_json(bridge) if arguments.json else "\n".join([report_text(bridge, arguments.units), *written]))
    return 0


def _share(said: str) -> float:
    from heatcalc.errors import InputError
    from heatcalc.units import parse

    try:
        share = parse(said, "fraction")
    except ValueError as problem:
        raise InputError("--limit", said, str(problem)) from None
    if not 1e-4 <= share <= 0.05:
        raise InputError("--limit", said, "allowed 0.01 % to 5 %")
    return share


def _figures(bridge, arguments: Namespace) -> tuple[str, ...]:
    from pathlib import Path

    from heatcalc.files import write_whole
    from heatcalc.show.bridge_figures import figure_bytes

    stem = Path(arguments.folder) / bridge.detail.name
    made = {kind: figure_bytes(bridge, arguments.units, kind) for kind in ("svg", "png")}
    return tuple(f"wrote {write_whole(stem.with_name(f'{stem.name}.{kind}'), raw)}" for kind, raw in made.items())
