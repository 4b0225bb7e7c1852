"""A list of places: a file with one a line or a column `place`, or every ZIP of the tables."""

from __future__ import annotations

import csv
import io
from pathlib import Path

from heatcalc.errors import InputError
from heatcalc.inputs.checked import read_text
from heatcalc.inputs.place import climate_tables as tables

EVERY_ZIP = "zips"


def listed_places(file: Path | str) -> list[str]:
    """What to look up, as written: the lines of a text file, the column `place` of a CSV, or with "zips" every ZIP.

    Raises InputError for a file that holds none.
    """
    if str(file) == EVERY_ZIP:
        return list(dict.fromkeys(row[0] for row in tables.first_columns("zips.csv.gz", 1)))
    text, name = read_text(file, 20_000_000), Path(file).name
    lines = [line for line in text.splitlines() if line.strip() and not line.startswith("#")]
    heads = [cell.strip().lower() for cell in next(csv.reader(lines[:1]), [])]
    if "place" in heads:
        found = [row["place"] for row in csv.DictReader(io.StringIO("\n".join([",".join(heads), *lines[1:]])))]
    else:
        found = [line.strip().strip('"') for line in lines]
    if not any(found):
        raise InputError("--places", name, "holds no place", 'one a line, such as Duluth, MN, or a CSV with a column "place"')
    return [place.strip() for place in found if place and place.strip()]
