"""The shell as a house has it - films, cladding, negative bridges, the ground - by hand."""

from math import log

import numpy as np
import pytest

from heatcalc.errors import InputError
from heatcalc.inputs.assembly.assembly_file import load_assemblies
from heatcalc.inputs.house.house_file import load_house
from heatcalc.inputs.house.house_record import ThermalBridge
from heatcalc.model.house_model import house_model
from heatcalc.physics.shell import films, ground


def test_the_sun_behind_a_cladding_by_hand():
    """Black faces 8 W/m2K apart by film: 4 sigma T^3 at 20 C is 5.714 W/m2K; in front 17, behind 1/0.125 = 8."""
    assert films.cladding_share(0.125, 17.0, 1.0, 20.0) == pytest.approx(5.7138 / 25.0, rel=1e-4)
    assert films.cladding_share(0.125, 17.0, 0.5, 20.0) == pytest.approx(5.7138 / 3.0 / 25.0, rel=1e-4)


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
    share = films.radiative_coefficient(0.9 / 1.1, 20.0) / (17.0 + 1 / 0.13)
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
    """A = 100 m2, P = 40 m: B' = 5 m, bare soil d = 0.615 m: 22.2 ln(3.2/d + 1) over 300/(5 pi + d) ln(5 pi/d + 1)."""
    d = 0.3 + 1.5 * 0.21
    edge, whole = 22.2 * log(3.2 / d + 1), 300 / (5 * np.pi + d) * log(5 * np.pi / d + 1)
    assert ground.edge_share(100.0, 40.0, d) == pytest.approx(edge / whole)
    insulated = ground.equivalent_thickness(2.0)
    assert insulated == pytest.approx(d + 3.0)
    edge = 22.2 * log(3.2 / insulated + 1)
    assert ground.edge_share(100.0, 40.0, insulated) == pytest.approx(edge / 100 / ground.slab_u(5.0, insulated))
    assert ground.edge_share(20.5, 21.0, insulated) == 1.0  # the formula alone says 1.1


def test_only_a_slab_lies_on_the_ground():
    models = {kind: house_model(load_house(None, [f"below.kind={kind}"])) for kind in ("slab", "skirted", "open air")}
    floor = next(p for p in models["slab"].opaque if p.kind == "floor" and p.body.boundary == "below")
    assert models["slab"].on_ground_m2K_W == pytest.approx(sum(floor.body.resistance))
    assert models["skirted"].on_ground_m2K_W == models["open air"].on_ground_m2K_W == 0.0
