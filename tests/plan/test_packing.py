"""The usual packing list: every line whole, with its source; for every kind of instrument."""

from datetime import date

import pytest

from brief.instrument import presets
from brief.instrument.presets import preset
from brief.plan.packing import HEAPS, usual, usual_lines


def test_the_table_says_where_it_comes_from_and_every_line_is_whole():
    table = usual()
    assert "no source" in table.source
    assert table.checked >= date(2026, 1, 1)
    keys = [one.key for one in table.lines]
    assert len(set(keys)) == len(keys)
    for one in table.lines:
        assert one.heap in HEAPS
        assert 0 < len(one.name) <= 200
        assert len(one.key) <= 40
        assert not one.why.endswith(".")


@pytest.mark.parametrize("name", [name for name, _ in presets()])
def test_every_kind_of_instrument_has_its_strings_case_and_humidity(name):
    made = preset(name)
    assert made.family in usual().strings
    lines = {one.key: one for one in usual_lines(made.family, made.strings)}
    assert {"case", "humidity", "strings", "passport"} <= set(lines)
    assert f"of {made.strings}" in lines["strings"].why
    assert ("truss-rod" in lines) == (made.family != "ukulele")
