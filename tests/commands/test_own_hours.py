"""Your own hourly file: taken by every command that walks a year or reads its months, and named in the answer."""

import argparse
import json
from importlib import import_module

import pytest

from heatcalc.answers.sale.live import places_named
from heatcalc.cli import COMMANDS, main
from heatcalc.commands.page import page_server
from tests.fuzz.commands import arguments_of
from tests.good_weather import good_csv

ANSWERS_WITHOUT = {  # and why
    "bridge": "a section in steady cold",
    "checks": "rows against print",
    "lab": "workbooks",
    "new": "a starter file",
    "orders": "many places",
    "reach": "many places",
    "run": "a workbook says where its hours come from",
    "schema": "what may be said",
}


@pytest.fixture(scope="module")
def hours(tmp_path_factory):
    """Duluth, every reading 3 K warmer."""
    head, columns, *rows = good_csv().split("time", 1)[0], *("time" + good_csv().split("time", 1)[1]).splitlines()
    cells = [row.split(",") for row in rows]
    warm = [",".join([c[0], f"{float(c[1]) + 3:.3f}", f"{float(c[2]) + 3:.3f}", *c[3:]]) for c in cells]
    file = tmp_path_factory.mktemp("hours") / "own.csv"
    file.write_text(head + "\n".join([columns, *warm]) + "\n", encoding="utf-8")
    return str(file)


def test_every_command_takes_them_or_has_a_reason():
    for name in COMMANDS:
        parser = argparse.ArgumentParser()
        import_module(f"heatcalc.commands.{name}").add_arguments(parser)
        takes = "--weather" in parser._option_string_actions
        assert takes != (name in ANSWERS_WITHOUT), name


def said(capsys, *words):
    assert main([*words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize(
    ("words", "name"),
    [
        (["assembly", "Breeze wall"], lambda r: r[0]["moisture"]["place"]),
        (["unit", "G12-C-230"], lambda r: r["units"][0]["places"][0]["place"]),
    ],
)
def test_they_move_the_answer_and_are_named(hours, capsys, words, name):
    plain, own = (said(capsys, *words, "--place", "Duluth, MN", *more) for more in ([], ["--weather", hours]))
    assert name(own) == f"{name(plain)}, hours of own.csv"
    assert json.dumps(own).replace(", hours of own.csv", "") != json.dumps(plain)


def test_the_page_keeps_them_for_its_own_place(hours):
    words = ("plover-26g", "--set", "site.front_faces=south", "--place", "Duluth, MN", "--weather", hours)
    server = page_server(arguments_of("page", *words))
    try:
        assert "hours of own.csv" in json.dumps(server.answer({"place": "Duluth, MN"}))
        assert places_named("Duluth, MN")[0].hours is None
    finally:
        server.server_close()
