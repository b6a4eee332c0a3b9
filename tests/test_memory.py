"""The memory by identity: one making for each thing, alike things apart, and a bound."""

from __future__ import annotations

from shapes.memory import ByIdentity


def test_a_thing_is_made_once_and_an_equal_one_again() -> None:
    made: list[list[int]] = []
    memory = ByIdentity[list[int], int](4)
    one, alike = [1, 2], [1, 2]

    def make(thing: list[int]) -> int:
        made.append(thing)
        return len(made)

    assert [memory.get(one, "a", lambda: make(one)) for _ in range(3)] == [1, 1, 1]
    assert memory.get(alike, "a", lambda: make(alike)) == 2
    assert memory.get(one, "b", lambda: make(one)) == 3
    assert [thing is one for thing in made] == [True, False, True]


def test_a_known_thing_is_held_and_all_are_forgotten_beyond_the_bound() -> None:
    """Were it not held, another thing could get its identity and what was made of it."""
    memory = ByIdentity[list[int], int](2)

    assert [memory.get([n], "a", lambda n=n: n) for n in range(50)] == list(range(50))  # type: ignore[misc]
    kept = [7]
    assert memory.get(kept, "a", lambda: 1) == 1
    memory.get([8], "a", lambda: 2)
    memory.get([9], "a", lambda: 3)
    assert memory.get(kept, "a", lambda: 4) == 4
