"""A local page with controls for place, package and unit.

Examples:
  heatcalc page my-house.toml --place "Duluth, MN"  # opens in your browser; stop it with Ctrl+C here
  heatcalc page plover-26g --place 97201 --no-open --port 8123

The page is served by this computer to this computer alone (127.0.0.1) and needs no network. Its address holds a secret
word that is new each time: whoever does not know it gets nothing. No file can be read or written through it.
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from heatcalc.commands.common import DEMO_PLACE, add_house, add_place, place_of


def add_arguments(parser: ArgumentParser) -> None:
    add_house(parser)
    add_place(parser)
    parser.add_argument("--units", choices=("ip", "si"), default="ip", help="units shown at first (default: %(default)s)")
    parser.add_argument("--port", type=int, default=0, help="port on this computer; without one, a free one")
    parser.add_argument("--no-open", action="store_true", help="show the address, open no browser")


def run(arguments: Namespace) -> int:
    server = page_server(arguments)
    print(
        f"The page is at  {server.address}\n"
        "Only this computer can open it, and only with that whole address. Stop it with Ctrl+C.",
        flush=True,
    )
    if not arguments.no_open:
        import webbrowser

        webbrowser.open(server.address)
    try:
        server.serve_forever()
    except KeyboardInterrupt:
        print("\nstopped")
    finally:
        server.server_close()
    return 0


def page_server(arguments: Namespace) -> Any:
    """The server for the house and place of the command line, the first answer already computed."""
    from heatcalc.answers.sale.live import BETWEEN, Wishes, live_answer, live_case
    from heatcalc.face.live_page import live_page
    from heatcalc.inputs.checked import read_toml
    from heatcalc.inputs.house.house_file import house_path
    from heatcalc.page_server import PageServer

    path = house_path(arguments.house)
    case = live_case(read_toml(path), path.parent, tuple(arguments.changes), arguments.package)
    start = Wishes(place=f" {BETWEEN} ".join(arguments.place or [DEMO_PLACE]))
    if arguments.weather or arguments.fetch or arguments.accept or arguments.mend:
        own = place_of(arguments)
        start = Wishes(place=start.place if arguments.place else own.name)
        case = replace(case, own={start.place: (own,)})
    live_answer(case, start)  # a wrong file or place is said here; later answers come from warm caches
    return PageServer(
        arguments.port, lambda nonce: live_page(case, start, arguments.units, nonce), lambda given: answered(case, given)
    )


def answered(case: Any, given: Mapping[str, str]) -> dict[str, Any]:
    """One question of the page: a record, or the problem in one line; `part` = "rest" asks for what follows the first answer."""
    from heatcalc.answers.sale.live import live_answer, wishes_of
    from heatcalc.errors import InputError, NoAnswer
    from heatcalc.face.live_page import fields_read, live_record, problem_record, rest_record

    try:
        words, system = fields_read(given)
        part = {"first": live_record, "rest": rest_record}.get(words.pop("part", "first"))
        if part is None:
            raise InputError("part", given["part"], "is first or rest")
        return part(live_answer(case, wishes_of(words)), system)
    except (InputError, NoAnswer) as problem:
        return problem_record(problem)
