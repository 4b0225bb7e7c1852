"""Tariff files and supply tables with mistakes: one clear line, exit code 2's error."""

import json

import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.inputs.checked import check
from heatcalc.inputs.supply.supply_record import Supply
from heatcalc.inputs.supply.tariff import Tariff, load_tariff, state_average
from heatcalc.supply.money import electricity_co2

TIME_OF_USE = """
[tariff]
name = "winter evenings"
kind = "time-of-use"
price = 0.12
monthly_charge = 14
[[tariff.periods]]
name = "peak"
price = 0.31
from_hour = 17
to_hour = 21
months = [12, 1, 2]
days = "weekdays"
"""


def test_a_tariff_file_reads(tmp_path):
    file = tmp_path / "tariff.toml"
    file.write_text(TIME_OF_USE, encoding="utf-8")
    tariff = load_tariff(file)
    assert (tariff.kind, tariff.periods[0].months, tariff.monthly_charge) == ("time-of-use", (12, 1, 2), 14)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"kind": "flat"}, "needs price"),
        ({"kind": "flat", "price": 12.5}, "allowed -1 to 5, US dollars"),
        ({"kind": "tiered"}, "goes with tiers"),
        ({"kind": "flat", "price": 0.1, "tiers": [{"price": 0.1}]}, "goes with tiers"),
        ({"kind": "tiered", "tiers": [{"price": 0.1}, {"price": 0.2}]}, "tiers rise"),
        ({"kind": "tiered", "tiers": [{"up_to_kWh": 300, "price": 0.1}]}, "tiers rise"),
        ({"kind": "tiered", "tiers": [{"price": 0.1, "months": [1, 2, 3]}]}, "no tier holds in month 4"),
        ({"price": 0.1, "tax": 7.5}, "allowed"),
        ({"price": 0.1, "minimum_charge": -2}, "minimum_charge"),
        ({"kind": "time of use", "price": 0.1}, 'did you mean "time-of-use"'),
        ({"price": 0.1, "pric": 2}, 'did you mean "price"'),
        ({"kind": "time-of-use", "price": 0.1, "periods": [{"name": "p", "price": 0.2, "months": [13]}]}, "1 to 12"),
    ],
)
def test_wrong_tariffs_say_what_is_wrong(said, words):
    with pytest.raises(InputError, match=words):
        check(Tariff, said, "tariff.toml")


def test_the_starter_tariff_is_written_read_and_described(tmp_path, capsys):
    assert main(["new", str(tmp_path / "mine.toml"), "--what", "tariff"]) == 0
    tariff = load_tariff(tmp_path / "mine.toml")
    assert tariff.kind == "time-of-use" and tariff.tax == 0.05 and "INVENTED" in (tmp_path / "mine.toml").read_text()
    capsys.readouterr()
    assert main(["schema", "tariff"]) == 0
    described = json.loads(capsys.readouterr().out)
    assert set(described["properties"]) == set(Tariff.model_fields)


def test_an_unknown_state_gets_a_suggestion():
    with pytest.raises(InputError, match="Montana"):
        state_average("Montanna")


def test_a_canadian_province_gets_the_us_average_and_says_so():
    tariff = state_average("MB")
    assert tariff.price == state_average("US").price and "no figure for MB" in tariff.source
    assert "no figure for MB" in electricity_co2(1000, "MB").source
    assert "no figure" not in state_average("MT").source


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"cord": "30A 120V"}, "did you mean"),
        ({"length": "25"}, "needs a unit"),
        ({"length": "2000 ft"}, "allowed"),
        ({"appliances": [{"name": "sauna"}]}, "needs watts"),
        ({"appliances": ["microwave", "microwave"]}, "microwave 2"),
        ({"lock_outs": [["microwave", "microwave"]]}, "two different loads"),
        ({"generator": {"rated": "2 kW", "surge": "1 kW"}}, "surge cannot be below"),
        ({"gauge_awg": 11}, "gauge_awg"),
    ],
)
def test_wrong_supplies_say_what_is_wrong(said, words):
    with pytest.raises(InputError, match=words):
        check(Supply, said, "house.toml")
