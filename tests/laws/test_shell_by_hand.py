"""The shell as a house has it - films, cladding, negative bridges, the ground - by hand."""

from math import log

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.files import folder
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import house_from, load_house
from heatcalc.inputs.house.house_record import ThermalBridge, trailers
from heatcalc.inputs.place.find_place import find_place
from heatcalc.model.bridge_lines import ready_detail
from heatcalc.model.house_model import house_model
from heatcalc.model.indoor_air import air_of_house
from heatcalc.model.moisture import moisture
from heatcalc.physics.shell import ground, layers


def test_the_sun_behind_a_cladding_by_hand():
    """Black faces 8 W/m2K apart by film: 4 sigma T^3 at 20 C is 5.714 W/m2K; in front 17, behind 1/0.125 = 8."""
    assert layers.cladding_share(0.125, 17.0, 1.0, 20.0) == pytest.approx(5.7138 / 25.0, rel=1e-4)
    assert layers.cladding_share(0.125, 17.0, 0.5, 20.0) == pytest.approx(5.7138 / 3.0 / 25.0, rel=1e-4)


SHELF = load_assemblies()


@pytest.mark.parametrize("name", [a.name for a in SHELF.values() if a.kind in ("wall", "roof", "floor", "door")])
def test_a_house_is_computed_with_the_u_that_its_assembly_shows(name):
    kind, shown = SHELF[name].kind, SHELF[name].u_value_W_m2K
    parts = house_model(load_house(None, [f"assemblies.{kind}={name}"])).opaque
    found = {p.u_value for p in parts if p.kind == kind}
    assert found and all(u == pytest.approx(shown, rel=1e-12) for u in found)
    for p in parts:
        assert p.r_inside + sum(p.body.resistance) + p.r_outside == pytest.approx(1.0 / p.u_value, rel=1e-12)


def test_north_american_films_reach_the_house(tmp_path):
    layer = '{ material = "OSB", thickness = "2 in" }'
    (tmp_path / "own.toml").write_text(f'["Own"]\nkind = "wall"\nfilms = "north american"\nlayers = [{layer}]\n')
    house = load_house(None, ["assemblies.file=own.toml", "assemblies.wall=Own"])
    wall = next(p for p in house_model(house, folder=tmp_path).opaque if p.kind == "wall")
    assert (wall.r_inside, wall.r_outside) == pytest.approx((0.119755, 0.029939))


def test_a_ventilated_cladding_keeps_sun_from_the_wall():
    """Behind it the sheathing takes h_r/(17 + 1/0.13) of the sun by a film of 1/0.13 instead of 17."""
    wall = next(p for p in house_model(load_house(None, ["assemblies.wall=Hearth wall"])).opaque if p.kind == "wall")
    share = layers.radiative_coefficient(0.9 / 1.1, 20.0) / (17.0 + 1 / 0.13)
    assert wall.sun_share == pytest.approx(share)
    assert wall.taken_in == pytest.approx(share * 17.0 * 0.13)


def with_bridges(*lines):
    return load_house(None).model_copy(update={"thermal_bridges": tuple(ThermalBridge(**line) for line in lines)})


def test_a_negative_psi_is_credited_exactly():
    corner = {"name": "corners", "length": "10 m", "psi": "-0.05 W/mK", "part": "wall"}
    plain, less = (house_model(with_bridges(*lines)) for lines in ((), (corner,)))
    assert sum(plain.ua_W_K.values()) - sum(less.ua_W_K.values()) == pytest.approx(0.5, rel=1e-9)
    for kind, takes in (("wall", 0.5), ("roof", 0.0), ("floor", 0.0)):
        lost = [sum(p.ua_W_K for p in model.opaque if p.kind == kind) for model in (plain, less)]
        assert lost[0] - lost[1] == pytest.approx(takes, abs=1e-9)
    assert {p.u_value for p in less.opaque if p.kind == "wall"} == {p.u_value for p in plain.opaque if p.kind == "wall"}


def test_a_psi_of_nothing_adds_nothing():
    models = [house_model(with_bridges(*lines)) for lines in ((), ({"name": "edge", "length": "10 m", "psi": "0 W/mK"},))]
    assert models[0].ua_W_K == models[1].ua_W_K


@pytest.mark.parametrize(
    "line, said",
    [
        ({"psi": "-0.05 W/mK"}, "part"),
        ({"psi": "-1 W/mK", "part": "roof"}, "look at the sign"),
        ({"detail": "wall-corner"}, "part"),
    ],
)
def test_a_negative_psi_that_cannot_be_taken_is_refused(line, said):
    with pytest.raises(InputError, match=said):
        house_model(with_bridges({"name": "corners", "length": "30 m", **line}))


def test_ground_under_a_floor_by_hand():
    """A = 100 m2, P = 40 m: B' = 5 m, bare soil d = 0.615 m: 22.2 ln(2.24/d + 1) over 300/(5 pi + d) ln(5 pi/d + 1)."""
    d = 0.3 + 1.5 * 0.21
    depth = np.sqrt(3.15e7 * 1.5 / (np.pi * 3.0e6))  # clay: 2.24 m
    edge, whole = 22.2 * log(depth / d + 1), 300 / (5 * np.pi + d) * log(5 * np.pi / d + 1)
    assert ground.edge_share(100.0, 40.0, d) == pytest.approx(edge / whole)
    insulated = ground.equivalent_thickness(2.0)
    assert insulated == pytest.approx(d + 3.0)
    edge = 22.2 * log(depth / insulated + 1)
    assert ground.edge_share(100.0, 40.0, insulated) == pytest.approx(edge / 100 / ground.slab_u(5.0, insulated))
    on_rock = ground.equivalent_thickness(1.0, 3.5)
    assert ground.edge_share(20.5, 21.0, on_rock, 3.5) == 1.0  # the formula alone says more


def test_only_a_slab_lies_on_the_ground():
    models = {kind: house_model(load_house(None, [f"below.kind={kind}"])) for kind in ("slab", "skirted", "open air")}
    floor = next(p for p in models["slab"].opaque if p.kind == "floor" and p.body.boundary == "below")
    assert models["slab"].on_ground_m2K_W == pytest.approx(sum(floor.body.resistance))
    assert models["skirted"].on_ground_m2K_W == models["open air"].on_ground_m2K_W == 0.0


LABELLED = {
    "name": "L",
    "body": {"length": "20 ft", "width": "8 ft", "wall_height": "8 ft"},
    "windows": [{"face": "front", "width": "3 ft", "height": "3 ft", "u_value": "U-0.45", "shgc": 0.5}],
    "doors": [{"face": "back", "width": "3 ft", "height": "6 ft", "u_value": "U-0.50"}],
    "packages": {
        "Triple": {"assemblies": {"window": "Triple window", "door": "Foam-core door"}},
        "Same": {"assemblies": {"window": "Breeze window"}},
    },
}


def glass(*changes, package=None):
    return house_model(house_from(LABELLED, changes, package)).windows[0]


def test_a_swapped_window_loses_the_old_label_on_every_way_to_swap_it():
    """The label belongs to the window that stood there: package, --set and comparison name the new one and use its values."""
    said, shelf = glass(), load_assemblies()
    assert (said.assembly, said.shgc, round(said.u_value / 5.678263, 3)) == ("window by its label", 0.5, 0.45)
    triple = shelf["Triple window"]
    for found in (
        glass(package="Triple"),
        glass('assemblies.window="Triple window"'),
        glass('windows.0.type="Triple window"'),
        house_model(house_from(LABELLED).with_assembly("window", "Triple window")).windows[0],
    ):
        assert (found.assembly, found.u_value, found.shgc) == (triple.name, triple.u_value_W_m2K, triple.shgc)
    assert glass(package="Same").u_value == said.u_value
    both = glass('assemblies.window="Triple window"', 'windows.0.u_value="U-0.20"', 'windows.0.shgc="0.25"')
    assert (round(both.u_value / 5.678263, 3), both.shgc) == (0.2, 0.25)
    door = next(p for p in house_model(house_from(LABELLED, package="Triple")).opaque if p.kind == "door")
    assert (door.assembly, door.u_value) == ("Foam-core door", shelf["Foam-core door"].u_value_W_m2K)


def test_a_trailer_counts_its_steel_by_the_size_of_the_floor():
    """20 x 8 ft with members 24 in apart: 80 ft of them, 56 ft of edge, two wells of 6 ft; own choice of dimensions."""
    feet = {
        line.name: line.length_m / 0.3048
        for line in house_model(house_from(LABELLED, ["trailer='deck between the wheels'"])).lines
    }
    assert feet["joists on the cross-members"] == pytest.approx(80.0, abs=0.05)
    assert feet["floor edge on the perimeter angle"] == pytest.approx(56.0)
    assert feet["wheel wells"] == pytest.approx(12.0, abs=0.01)
    for trailer in trailers():
        lines = house_model(house_from(LABELLED, [f"trailer={trailer!r}"])).lines
        assert lines and all(line.temperature_factor and line.length_m > 0 for line in lines)
    with pytest.raises(InputError, match="deck over the wheels"):
        house_from(LABELLED, ["trailer='deck over wheels'"])


def test_the_user_s_own_drawing_gives_psi_and_a_cold_spot(tmp_path):
    """A copy of a ready detail beside the house file is that detail: psi, loss and the moisture check's temperature factor."""
    drawing = folder("workbooks") / "details" / "wheel-well.toml"
    (tmp_path / "my-well.toml").write_text(drawing.read_text(encoding="utf-8"), encoding="utf-8")
    said = LABELLED | {"thermal_bridges": [{"name": "well", "detail": "my-well.toml", "length": "12 ft", "part": "floor"}]}
    model = house_model(house_from(said), 0.0, tmp_path)
    (line,) = model.lines
    ready = ready_detail("wheel-well")
    assert (line.psi_W_mK, line.temperature_factor) == (
        pytest.approx(ready.psi_external_W_mK, rel=1e-9),
        pytest.approx(ready.temperature_factor, rel=1e-9),
    )
    found = moisture(SHELF["Breeze floor"], air_of_house(model, find_place("Duluth, MN")), model.lines)
    assert found.weakest.name == "well (2-D)" and found.at_risk
    with pytest.raises(InputError, match="my-well.toml"):
        house_model(house_from(said), 0.0, tmp_path / "elsewhere")
