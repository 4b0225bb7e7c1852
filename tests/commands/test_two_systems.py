"""No unit of the other system in what a command prints; every exception is named here with its reason."""

import re

import pytest

from heatcalc.cli import main
from heatcalc.files import folder

WHERE = ["plover-26g", "--place", "Bozeman, MT"]
COMMANDS = {
    "size": ["size", *WHERE],
    "loads": ["loads", *WHERE],
    "shelf": ["assembly"],
    "assembly": ["assembly", "Hearth wall", "--place", "Bozeman, MT"],
    "details": ["bridge"],
    "bridge": ["bridge", "floor-edge"],
    "unit": ["unit", "G12-C-230", "--place", "Bozeman, MT"],
    "submittal": ["unit", str(folder("workbooks") / "units" / "example_submittal.csv")],
    "supply": ["supply", *WHERE],
    "year": ["year", *WHERE],
    "place": ["place", "Bozeman, MT"],
    "explain heat": ["explain", *WHERE, "heating_load"],
    "explain unit": ["explain", *WHERE, "max_heat_at_design"],
    "explain bridges": ["explain", *WHERE, "thermal_bridges"],
    "compare": ["compare", *WHERE, "--packages", "Breeze,Hearth"],
}
# Inches are not looked for: "2x4 wall 24 in" and "3/16 in angle" are names, and "in" is a word of the language.
OTHER = {
    "ip": r"°C|C|K|W/K|W/m²K|W/m2K|W/m²|W/mK|W/m|m²K/W|m|m²|m2|m³|mm|cm|km|kg|kg/m²|kg/m³|g|g/h|L/s|J/kgK|K·d",
    "si": r"°F|F|Btu|Btu/h\S*|kBtu/h|Btu/ft²|ft|ft²|ft2|ft³|cfm|mph|miles?|mi|lb\S*|oz\S*|gal|pint\S*|perm|°F·d",
}
JUSTIFIED = {
    "ip": {
        r"(?<== )\(?[^=]*\^[^=]*= [\d.]+ m³/s": "flow of a crack or of wind: the published coefficients hold in m³/s, Pa, K, m/s",
        r"= [^=]* / 50 \^ [\d.]+|= [^=]* x [\d.]+ m³ / 3600 = [\d.]+ m³/s": "the same chain: its flow at 50 Pa",
        r"= [\d.]+ x [\d.]+ m/s = [\d.]+ m/s": "the same chain: its wind",
        r"\b\d+ C =": "C is the symbol of the next line",
    },
    "si": {
        r"(?:certified|quoted row) \d+ kBtu/h|row [\d,/]+ Btu/h quoted": "name and words of a published row",
        r"\d+ kBtu/h(?= (?:cold-climate )?class| \([\d.]+ kW\))": "the trade's name of a size class",
        r"0\.7 Btu/h per F and foot of perimeter": "the rule of 24 CFR 3280.509 as printed; its result is in W",
        r"3 % per 1000 ft|\d+ % at \d+ ft": "names of published altitude rules",
        r"Heating 70 F indoors, cooling 80/67 F, sea level\. The 35 F row": "the unit file's own words about itself",
        r"1/2 in 1\.5 perm": "a material's source as it is printed",
    },
}


@pytest.mark.parametrize("system", ["ip", "si"])
@pytest.mark.parametrize("name", COMMANDS)
def test_no_unit_of_the_other_system_is_printed(name, system, capsys):
    assert main([*COMMANDS[name], "--units", system]) == 0
    said = " ".join(capsys.readouterr().out.split())
    for phrase in JUSTIFIED[system]:
        said = re.sub(phrase, "", said)
    left = re.finditer(rf"(?<![\w.-])[-+]?\d[\d,.]* ?(?:{OTHER[system]})(?![\w/·²³-])", said)
    assert not [said[max(m.start() - 60, 0) : m.end() + 20] for m in left]
