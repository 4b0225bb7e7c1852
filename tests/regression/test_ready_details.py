"""OWN numbers: the table of solved ready details is what their drawings give today.

`python -m tests.regression.test_ready_details` solves all again and writes the table.
"""

import csv
from pathlib import Path

import pytest

from heatcalc import tables
from heatcalc.inputs.assembly.detail import ready_names
from heatcalc.model import bridge_lines as details
from heatcalc.model.bridge_lines import ReadyDetail, content_of, ready_detail, solved

TABLE = Path(tables.__file__).parent / "ready_details.csv"
SOURCE = "own: two-dimensional steady conduction of the drawing (ISO 10211 method)"


def test_every_ready_detail_stands_in_the_table():
    assert [(row["detail"], row["content"]) for row in tables.rows("ready_details")] == [
        (n, content_of(n)) for n in ready_names()
    ]


@pytest.mark.parametrize("name", ready_names())
def test_the_table_says_what_the_drawing_gives(name):
    kept, anew = ready_detail(name), solved(name)
    assert (kept.psi_external_W_mK, kept.psi_internal_W_mK, kept.temperature_factor) == pytest.approx(
        (anew.psi_external_W_mK, anew.psi_internal_W_mK, anew.temperature_factor), rel=1e-9
    )


def test_a_changed_drawing_is_solved_anew(monkeypatch):
    kept = ready_detail("wheel-well")
    monkeypatch.setattr(details, "content_of", lambda name: "another drawing")
    monkeypatch.setattr(details, "solved", lambda name, field: ReadyDetail(name, 1.0, 2.0, 0.5))
    assert kept.psi_external_W_mK != ready_detail.__wrapped__("wheel-well").psi_external_W_mK == 1.0


if __name__ == "__main__":
    with TABLE.open("w", encoding="utf-8", newline="") as file:
        file.write("# Ready details solved once: content is a digest of the drawing; a changed drawing is solved anew.\n")
        lines = csv.writer(file, lineterminator="\n")
        lines.writerow(("detail", "content", "psi_external_W_mK", "psi_internal_W_mK", "temperature_factor", "source"))
        for name in ready_names():
            lines.writerow((name, content_of(name), *list(vars(solved(name)).values())[1:], SOURCE))
