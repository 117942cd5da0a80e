"""Pack layouts: every one that fits, none that does not, with reasons, drawn to scale."""

import itertools
import re

import pytest

from chalkwatt.errors import ChalkwattError, NoSolutionError, UnitError
from chalkwatt.evidence.layouts.pack_layouts import pack_layouts


def names(**given):
    return [one.name for one in pack_layouts(**given)]


def test_the_contract():
    found = pack_layouts(
        cell_count=2160, module_count=5, voltage_class="400 V", cell_voltage="3.6 V"
    )
    assert [one.name for one in found] == ["90s24p", "108s20p"]
    first = found[0]
    assert (first.series_in_module, first.parallel_in_module) == (18, 24)
    assert first.pack_voltage == pytest.approx(324)


@pytest.mark.parametrize(
    ("count", "modules"), [(2160, 5), (96, 8), (7, 1), (4416, 12), (97, 1), (360, 6)]
)
def test_exactly_the_layouts_of_whole_cells_in_whole_groups(count, modules):
    """Against a search through every way to arrange modules and the cells inside them."""
    each = count // modules
    expected = set()
    for in_series, series in itertools.product(range(1, modules + 1), range(1, each + 1)):
        if modules % in_series == 0 and each % series == 0:
            total = in_series * series
            if total * 3.6 <= 5000:  # the highest voltage that the glossary allows a pack
                expected.add((total, count // total))
    found = pack_layouts(cell_count=count, module_count=modules, cell_voltage=3.6)
    assert {(one.cells_in_series, one.cells_in_parallel) for one in found} == expected
    for one in found:
        assert one.cells_in_series * one.cells_in_parallel == count
        assert one.modules_in_series * one.modules_in_parallel == modules
        assert one.series_in_module * one.modules_in_series == one.cells_in_series
        assert one.parallel_in_module * one.modules_in_parallel == one.cells_in_parallel
        assert one.rows * one.columns == each


def test_rows_and_columns_and_current_decide():
    found = pack_layouts(
        cell_count=1728,
        module_count=6,
        rows=16,
        columns=18,
        voltage_class="400 V",
        cell_voltage="3.63 V",
        pack_current="180 A",
        cell_current_max="10 A",
    )
    assert found[0].name == "96s18p"
    words = [one.words for one in found[0].reasons]
    assert "6 alike modules in one string" in words
    assert "10.0 A through each cell, of the 10 A it may carry" in words
    assert "a group of 18 fills one row" in words
    assert any("more than the 10 A" in one.words for one in found[1].reasons)
    assert [one.score for one in found] == sorted((one.score for one in found), reverse=True)


def test_the_voltage_class_keeps_to_its_neighbourhood():
    for layout in pack_layouts(cell_count=4320, voltage_class="800 V", cell_voltage=3.65):
        assert 0.75 <= layout.pack_voltage / 800 <= 1.02


@pytest.mark.parametrize(
    ("given", "error", "words"),
    [
        ({"cell_count": 0}, ChalkwattError, "no count"),
        ({"cell_count": 21.5}, ChalkwattError, "whole number"),
        ({"cell_count": 100, "module_count": 7}, ChalkwattError, "2 are left over"),
        ({"cell_count": 100, "rows": 3}, ChalkwattError, "rows"),
        ({"cell_count": 100, "rows": 10, "columns": 5}, ChalkwattError, "make 50"),
        ({"cell_count": 97, "voltage_class": "800 V"}, NoSolutionError, "349 V"),
        ({"cell_count": 100, "cell_diameter": "21 kg"}, UnitError, "no length"),
        ({"cell_count": 100, "cell_diameter": "21 m"}, ChalkwattError, "between"),
        ({"cell_count": 100, "cell_voltage": "3 A"}, UnitError, "A"),
    ],
)
def test_what_cannot_be_is_said(given, error, words):
    with pytest.raises(error, match=words):
        pack_layouts(**({"cell_voltage": 3.6} | given))


def test_every_cell_is_drawn_once_and_to_scale():
    found = pack_layouts(
        cell_count=96, module_count=2, cell_voltage=3.6, voltage_class="48 V", cell_diameter="20 mm"
    )
    svg = found.figure()
    shown = min(len(found), 3)
    assert svg.count("h0") == 96 * shown
    across = {float(one) for one in re.findall(r'stroke-width="([\d.]+)"', svg)}
    assert len(across) == 1
    bar = re.search(r'points="2.0,[\d.]+ ([\d.]+),', svg)
    label = re.search(r">([\d.]+) m<", svg)
    diameters = float(label[1]) / 0.020
    assert (float(bar[1]) - 2) / across.pop() == pytest.approx(diameters, rel=0.01)


def test_groups_are_told_apart():
    found = pack_layouts(cell_count=96, cell_voltage=3.6, voltage_class="48 V")
    first = found[0]
    # Place and group of every cell of the first layout.
    kinds = re.findall(r'<path class="(\w+) dots"[^>]* d="([^"]*)"', found.figure())[:2]
    rows = {}
    for kind, path in kinds:
        for x, y in re.findall(r"M([\d.]+) ([\d.]+)h0", path):
            rows.setdefault(float(y), []).append((float(x), kind))
    assert {len(row) for row in rows.values()} == {first.columns}
    assert len(rows) == first.rows
    order = [kind for y in sorted(rows) for _, kind in sorted(rows[y])]
    along = [
        order[row * first.columns + one]
        for one in range(first.columns)
        for row in range(first.rows)
    ]
    group = first.parallel_in_module

    def together(cells):
        return all(len(set(cells[place : place + group])) == 1 for place in range(0, 96, group))

    assert together(order) or together(along)
    assert abs(order.count("group") - order.count("cell")) <= group


def test_a_caution_stands_beside_it():
    shown = pack_layouts(cell_count=96, cell_voltage=3.6)._repr_html_()
    assert "can kill" in shown
