"""Examples:
heatcalc new my-house.toml
heatcalc size my-house.toml --place "Duluth, MN"  # sizes it as it stands
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("file", help="the house file to write, ending in .toml")
    parser.add_argument("--force", action="store_true", help="write over an existing file")


def run(arguments: Namespace) -> int:
    from pathlib import Path

    from heatcalc.errors import InputError
    from heatcalc.files import write_whole
    from heatcalc.resources import folder

    target = Path(arguments.file)
    if target.suffix != ".toml":
        raise InputError("file", arguments.file, "must end in .toml", f"{target.stem}.toml?")
    if target.exists() and not arguments.force:
        raise InputError("file", arguments.file, "already exists", "give --force to write over it")
    write_whole(target, (folder("workbooks") / "houses" / "starter.toml").read_bytes())
    print(f'wrote {target}\nnext: heatcalc size {target} --place "Duluth, MN"')
    return 0
