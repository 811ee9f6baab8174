"""The random numbers: published values of the generator, and streams that know nothing of each other."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from faultiso.world.streams import philox, uniform

from .statistics import counted, p_value

#: counter, key, output: "kat_vectors" of Random123 1.09 (Salmon et al. 2011), philox4x32 with 10 rounds
PUBLISHED = [
    ("00000000 00000000 00000000 00000000", "00000000 00000000", "6627e8d5 e169c58d bc57ac4c 9b00dbd8"),
    ("ffffffff ffffffff ffffffff ffffffff", "ffffffff ffffffff", "408f276d 41c83b0e a20bc7c6 6d5451fd"),
    ("243f6a88 85a308d3 13198a2e 03707344", "a4093822 299f31d0", "d16cfe09 94fdcceb 5001e420 24126ea1"),
]


def words(text: str) -> list[int]:
    return [int(word, 16) for word in text.split()]


@pytest.mark.parametrize(("counter", "key", "output"), PUBLISHED)
def test_published_values(counter: str, key: str, output: str) -> None:
    a, b, c, d = (np.array([word], dtype=np.uint64) for word in words(counter))
    first, second = words(key)
    assert [int(word[0]) for word in philox((a, b, c, d), (first, second))] == words(output)


def seeds(*numbers: int) -> np.ndarray:
    return np.array(numbers, dtype=np.uint64)


def test_a_number_hangs_on_its_name_its_seed_and_its_draw_only() -> None:
    many = uniform("a", np.arange(50, dtype=np.uint64), np.full(50, 3, dtype=np.uint64))
    assert uniform("a", seeds(7), seeds(3))[0] == many[7]
    assert len({*many, *uniform("b", np.arange(50, dtype=np.uint64), np.full(50, 3, dtype=np.uint64))}) == 100
    assert uniform("a", seeds(7), seeds(4))[0] != many[7]
    assert uniform("a", seeds(2**33 + 7), seeds(3))[0] != many[7]  # all 64 bits of a seed count


def test_numbers_are_the_same_for_ever() -> None:
    """Written down once: a case made with one version plays the same with the next."""
    found = uniform("demo", seeds(0, 1, 2**64 - 1), seeds(0, 5, 2**20))
    assert found.tolist() == WRITTEN_DOWN


WRITTEN_DOWN = [0.997161228766851, 0.532986528088051, 0.3071547388806368]


@pytest.mark.parametrize("step", [(0, 1), (1, 0)])
def test_numbers_are_even_and_neighbours_independent(step: tuple[int, int]) -> None:
    at = np.arange(40_000, dtype=np.uint64)
    columns = [uniform(name, at * np.uint64(step[0]), at * np.uint64(step[1])) for name in ("a", "b", "c")]
    columns.append(np.roll(columns[0], 1))
    for one, two in combinations(columns, 2):
        assert min(one) >= 0 and max(one) < 1
        counts = counted((16, 16), (one * 16).astype(int), (two * 16).astype(int))
        assert p_value(counts, np.full(256, 1 / 256)) > 1e-5
