"""Choosing places for labels that would cover each other."""

from tutor.drawing.schematic.labels import Place, choose


def place(x: float, cost: float) -> Place:
    return Place(0, x, (10.0,), "start", ((x, 0.0, x + 20.0, 13.0),), cost)


def test_a_label_takes_its_best_free_place() -> None:
    chosen = choose({"R1": [place(0, 0), place(40, 1)]}, [((5.0, 5.0, 8.0, 8.0), "a wire")])
    assert chosen["R1"].place == place(40, 1)
    assert chosen["R1"].overlaps == ()


def test_a_label_without_choice_goes_first() -> None:
    chosen = choose({"R1": [place(0, 0), place(40, 1)], "R2": [place(0, 0)]}, [])
    assert chosen["R2"].place == place(0, 0)
    assert chosen["R1"].place == place(40, 1)


def test_a_label_makes_way_for_another() -> None:
    wanted = {
        "R1": [place(0, 0), place(100, 1)],
        "R2": [place(10, 0), place(60, 1)],
        "R3": [place(60, 0), place(10, 1), place(5, 2)],
    }
    chosen = choose(wanted, [])
    assert all(choice.overlaps == () for choice in chosen.values())


def test_what_cannot_be_helped_is_told() -> None:
    chosen = choose({"R1": [place(0, 0)], "R2": [place(5, 0)]}, [((0.0, 0.0, 3.0, 3.0), "a wire")])
    assert chosen["R2"].overlaps == ()
    assert set(chosen["R1"].overlaps) == {"a wire", "label of R2"}
