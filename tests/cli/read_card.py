"""A person with a caliper, for the tests: reads a card that a simulated shop cut, and writes down what it says."""

from pathlib import Path

from fit.simulated_shop import Shop
from platelayer.fit.correction import CardReadings
from platelayer.fit_road.readings import read_card

NOMINAL_MM = 3.175


def readings_of(shop: Shop, file: Path) -> CardReadings:
    """What the shop's caliper says of the card that this readings file is about."""
    read = read_card(file)
    return shop.read_card(read.card, nominal_mm=NOMINAL_MM, assumed_mm=read.as_cut.path_diameter_mm)


def write_down(readings: CardReadings, file: Path) -> None:
    """The readings put into the empty lists of a readings file."""
    wanted = {feature.value: values for feature, values in readings.sizes_mm.items()}
    pegs = {peg.pips: peg for peg in readings.pegs}
    lines, pips = [], 0
    for line in file.read_text(encoding="utf-8").splitlines():
        key, _, value = line.partition(" = ")
        if key == "pips":
            pips = int(value)
        if key == "best_peg":
            line = f"best_peg = {readings.best_pips}"
        if value == "[]" and key in wanted:
            line = f"{key} = {list(wanted[key])}"
        elif value == "[]" and pips in pegs:
            line = f"{key} = {list(getattr(pegs[pips], f'{key}_mm'))}"
        lines.append(line)
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
