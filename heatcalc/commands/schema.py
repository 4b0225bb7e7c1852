"""JSON schema of a file, for editor completion.

Examples:
heatcalc schema house > house.schema.json  # name it in your editor's TOML settings
"""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

SUBJECTS = ("house", "unit", "assembly", "tariff")


def add_arguments(parser: ArgumentParser) -> None:
    parser.add_argument("subject", choices=SUBJECTS, help="which file's schema")


def run(arguments: Namespace) -> int:
    import json

    from heatcalc.inputs.schemas import schema_of

    print(json.dumps(schema_of(arguments.subject), indent=2))
    return 0
