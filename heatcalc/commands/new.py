"""Write a commented starter house file that sizes as it stands.

Examples:
heatcalc new my-house.toml
heatcalc new my-tariff.toml --what tariff  # what electricity costs: blocks, seasons, hours, charges, taxes
heatcalc size my-house.toml --place "Duluth, MN"  # sizes it as it stands
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

STARTERS = {
    "house": ("houses/starter.toml", 'heatcalc size {} --place "Duluth, MN"'),
    "tariff": ("tariffs/starter.toml", 'heatcalc sheet --tariff {} --place "Duluth, MN" -o run-load.html'),
}


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("file", help="the file to write, ending in .toml")
    parser.add_argument("--what", choices=tuple(STARTERS), default="house", help="what the file describes (default: %(default)s)")
    parser.add_argument("--force", action="store_true", help="write over an existing file")


def run(arguments: Namespace) -> int:
    from pathlib import Path

    from heatcalc.errors import InputError
    from heatcalc.files import folder, write_whole

    target = Path(arguments.file)
    if target.suffix != ".toml":
        raise InputError("file", arguments.file, "must end in .toml", f"{target.stem}.toml?")
    if target.exists() and not arguments.force:
        raise InputError("file", arguments.file, "already exists", "give --force to write over it")
    starter, following = STARTERS[arguments.what]
    write_whole(target, (folder("workbooks") / starter).read_bytes())
    print(f"wrote {target}\nnext: {following.format(target)}")
    return 0
