"""Moisture of wood in air, against the cells of the handbook's table that were read."""

import pytest

from brief.errors import InputError
from brief.wood.moisture import CELSIUS, HUMIDITY, equilibrium, humidity_for

# Wood Handbook, FPL-GTR-190 (2010), Table 4-2, percent; by °F, as its °C are rounded. Columns are
# 5 to 95 % relative humidity by fives.
TABLE_4_2 = {
    30: "1.4 2.6 3.7 4.6 5.5 6.3 7.1 7.9 8.7 9.5 10.4 11.3 12.4 13.5 14.9 16.5 18.5 21.0 24.3",
    70: "1.3 2.5 3.5 4.5 5.4 6.2 6.9 7.7 8.5 9.2 10.1 11.0 12.0 13.1 14.4 16.0 17.9 20.5 23.9",
    100: "1.2 2.3 3.3 4.2 5.0 5.8 6.5 7.2 7.9 8.7 9.5 10.3 11.2 12.3 13.6 15.1 17.0 19.5 22.9",
}
CELLS = [
    (fahrenheit, 5 * column, float(cell))
    for fahrenheit, row in TABLE_4_2.items()
    for column, cell in enumerate(row.split(), 1)
]


def test_the_cells_of_the_handbook() -> None:
    assert len(CELLS) == 57
    for fahrenheit, humidity, cell in CELLS:
        # 30 °F is −1.1 °C; the program begins at −1 °C, where nothing is different that shows.
        celsius = max((fahrenheit - 32) / 1.8, CELSIUS[0])
        assert equilibrium(humidity, celsius) == pytest.approx(cell, abs=0.07)


def test_against_the_equation_in_fahrenheit() -> None:
    """The same source prints it in °F, too, with constants of its own (eq. 4-5)."""
    for fahrenheit in (32, 50, 70, 100, 130):
        for humidity in range(5, 96, 5):
            h, t = humidity / 100, fahrenheit
            w = 330 + 0.452 * t + 0.00415 * t**2
            k = 0.791 + 0.000463 * t - 0.000000844 * t**2
            k1 = 6.34 + 0.000775 * t - 0.0000935 * t**2
            k2 = 1.09 + 0.0284 * t - 0.0000904 * t**2
            bound = (k1 * k * h + 2 * k1 * k2 * (k * h) ** 2) / (
                1 + k1 * k * h + k1 * k2 * (k * h) ** 2
            )
            told = 1800 / w * (k * h / (1 - k * h) + bound)
            assert equilibrium(humidity, (t - 32) / 1.8) == pytest.approx(told, abs=0.03)


@pytest.mark.parametrize("celsius", [CELSIUS[0], 20, CELSIUS[1]])
def test_the_humidity_for_a_moisture_is_found_again(celsius: float) -> None:
    for humidity in (5, 12.5, 47, 80, 95):
        there = equilibrium(humidity, celsius)
        assert humidity_for(there, celsius) == pytest.approx(humidity, abs=0.02)
    assert humidity_for(0, celsius) == HUMIDITY[0]
    assert humidity_for(30, celsius) == HUMIDITY[1]


@pytest.mark.parametrize(
    ("humidity", "celsius", "said"),
    [(0, 20, "5 to 95 %"), (100, 20, "5 to 95 %"), (50, -5, "−1 to 60 °C"), (50, 70, "60 °C")],
)
def test_beyond_the_table_nothing_is_told(humidity: float, celsius: float, said: str) -> None:
    with pytest.raises(InputError, match=said):
        equilibrium(humidity, celsius)
