"""Tariff files and supply tables with mistakes: one clear line, exit code 2's error."""

import json

import pytest

from heatcalc.cli import main
from heatcalc.errors import InputError
from heatcalc.inputs.checked import check
from heatcalc.inputs.supply.supply_record import PROVINCES, Supply, Tariff, load_tariff, state_average
from heatcalc.supply.money import electricity_co2, propane_of
from heatcalc.tables import rows
from heatcalc.wording import money

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


def test_a_canadian_province_has_its_own_money_and_grid():
    """Printed: residential averages of 2020 (Hydro-Quebec's comparison, Winnipeg 9.60 cents), and Table 5.3 of Environment and
    Climate Change Canada's reference values (Manitoba 2.5, Alberta 438 g/kWh, data year 2023)."""
    tariff = state_average("MB")
    assert (tariff.price, tariff.currency, tariff.year) == (pytest.approx(0.0960), "CAD", "2020")
    assert electricity_co2(1000, "MB").kg == pytest.approx(2.5) and electricity_co2(1000, "AB").kg == pytest.approx(438.0)
    assert state_average("MT").currency == "USD"
    assert {r["code"] for r in rows("electricity_co2_canada")} == set(PROVINCES)
    assert all(state_average(code).currency == "CAD" for code in PROVINCES)


def test_money_is_never_converted():
    """Propane has a price where the tariff says one or is in the state's own money; elsewhere none, and that is said."""
    mexican = Tariff(currency="mxn", price=1.9, monthly_charge=95.0)
    assert mexican.currency == "MXN" and money(1234.4, "MXN") == "MXN 1,234" and money(-5.2) == "-$5"
    assert propane_of(mexican, "AZ").price is None and "MXN" in propane_of(mexican, "AZ").words
    own = propane_of(Tariff(currency="CAD", price=0.1, propane_price=1.05, propane_unit="litre"), "ON")
    assert (own.price, own.unit) == (1.05, "L") and own.words.startswith("CAD 1.05/L")
    litres, gallons = propane_of(state_average("ON"), "ON"), propane_of(state_average("ME"), "ME")
    assert litres.price is None and gallons.price == pytest.approx(3.535)
    assert gallons.kWh / litres.kWh == pytest.approx(3.785411784)
    with pytest.raises(InputError, match="5 US dollars|allowed -1 to 5"):
        check(Tariff, {"price": 12.0}, "tariff")
    check(Tariff, {"price": 12.0, "currency": "JPY"}, "tariff")
    for wrong, hint in (("CDN", "ISO 4217"), ("dollars", "ISO 4217"), (3, "currency")):
        with pytest.raises(InputError, match=hint):
            check(Tariff, {"price": 0.1, "currency": wrong}, "tariff")


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
